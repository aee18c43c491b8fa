//! Letters that the sheet's own faces lack, from fonts that this machine has.

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use fontdb::{Database, FaceInfo, Style};
use lope_sheet::Sheet;
use lope_sheet::glyphs::{Bytes, Font, Fonts};

/// Fonts for all that `sheets` say, as far as there are any. What no font has is told of.
pub fn fonts(sheets: &[Sheet], tell: &dyn Fn(&str)) -> Fonts {
    let fonts = Fonts::new();
    let mut missing = fonts.missing(sheets);
    if missing.is_empty() {
        return fonts;
    }
    let fonts = Fonts::with(borrowed(&mut missing));
    if !missing.is_empty() {
        tell(&complaint(&missing));
    }
    fonts
}

/// As few fonts of this machine as together have what is `missing`, which is left with what none of them has.
fn borrowed(missing: &mut BTreeSet<char>) -> Vec<Font> {
    static HERE: OnceLock<Database> = OnceLock::new();
    let here = HERE.get_or_init(|| {
        let mut here = Database::new();
        here.load_system_fonts();
        here
    });
    let mut faces: Vec<&FaceInfo> = here.faces().collect();
    // Upright and of a common weight first, and always in the same order.
    faces.sort_by_key(|face| {
        let slanted = face.style != Style::Normal;
        (slanted, face.monospaced, face.weight.0.abs_diff(400), face.post_script_name.clone())
    });
    let mut found = Vec::new();
    while !missing.is_empty() {
        let count = |face: &&FaceInfo| {
            here.with_face_data(face.id, |bytes, index| drawn(bytes, index, missing).len())
        };
        let counted = faces.iter().map(|face| (count(face).unwrap_or(0), face));
        // The first of those that have the most.
        let best = counted.rev().max_by_key(|(count, _)| *count).filter(|(count, _)| *count > 0);
        let font = best.and_then(|(_, face)| {
            let whole = |bytes: &[u8], index| (Arc::new(bytes.to_vec()) as Bytes, index);
            let (bytes, index) = here.with_face_data(face.id, whole)?;
            let has = drawn((*bytes).as_ref(), index, missing);
            missing.retain(|letter| !has.contains(letter));
            Font::new(bytes, index)
        });
        match font {
            Some(font) => found.push(font),
            None => break,
        }
    }
    found
}

/// Those of `letters` for which the font has an outline; pictures of dots are no use on paper.
fn drawn(bytes: &[u8], index: u32, letters: &BTreeSet<char>) -> BTreeSet<char> {
    struct Nowhere;
    impl ttf_parser::OutlineBuilder for Nowhere {
        fn move_to(&mut self, _: f32, _: f32) {}
        fn line_to(&mut self, _: f32, _: f32) {}
        fn quad_to(&mut self, _: f32, _: f32, _: f32, _: f32) {}
        fn curve_to(&mut self, _: f32, _: f32, _: f32, _: f32, _: f32, _: f32) {}
        fn close(&mut self) {}
    }
    let Ok(face) = ttf_parser::Face::parse(bytes, index) else { return BTreeSet::new() };
    let has = |letter: &&char| {
        face.glyph_index(**letter).is_some_and(|glyph| face.outline_glyph(glyph, &mut Nowhere).is_some())
    };
    letters.iter().filter(has).copied().collect()
}

fn complaint(missing: &BTreeSet<char>) -> String {
    const MOST: usize = 8;
    let named: Vec<String> =
        missing.iter().take(MOST).map(|letter| format!("{letter} (U+{:04X})", *letter as u32)).collect();
    let more =
        if missing.len() > MOST { format!(" and {} more", missing.len() - MOST) } else { String::new() };
    format!(
        "boxes stand for what no font of this machine has: {}{more}; install a font for that script and make it again",
        named.join(", ")
    )
}
