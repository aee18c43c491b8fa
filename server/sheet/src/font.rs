//! The sheet's faces, and how wide words are in them.
//!
//! They are Latin, Greek and Cyrillic out of Source Sans 3, under the SIL Open Font License: `fonts/` holds
//! the files, the licence and how they were made. All digits are as wide as each other.

use std::sync::LazyLock;

use crate::frame::Face;

/// The name of the family that the faces belong to.
pub const FAMILY: &str = "Lope Sheet";

/// The height of capitals and digits, as a part of the size.
pub const CAPITAL: f32 = 0.66;

/// The file of `face`, a TrueType font.
pub const fn bytes(face: Face) -> &'static [u8] {
    match face {
        Face::Regular => include_bytes!("../fonts/Regular.ttf"),
        Face::Bold => include_bytes!("../fonts/Bold.ttf"),
        Face::Italic => include_bytes!("../fonts/Italic.ttf"),
    }
}

/// What pages for browsers carry of `face`: Latin, as a WOFF2 font.
pub const fn page_bytes(face: Face) -> &'static [u8] {
    match face {
        Face::Regular => include_bytes!("../fonts/Regular.woff2"),
        Face::Bold => include_bytes!("../fonts/Bold.woff2"),
        Face::Italic => include_bytes!("../fonts/Italic.woff2"),
    }
}

/// How wide `words` are in `face` at `size`, without kerning.
///
/// Letters that the face has not are counted as wide as they are in most fonts that have them.
pub fn width(face: Face, size: f32, words: &str) -> f32 {
    let widths = &WIDTHS[face as usize];
    words.chars().map(|letter| widths.of(letter)).sum::<f32>() * size
}

/// Whether `face` has a sign for `letter`.
pub fn has(face: Face, letter: char) -> bool {
    WIDTHS[face as usize].known(letter).is_some()
}

static WIDTHS: [LazyLock<Widths>; 3] = [
    LazyLock::new(|| Widths::read(Face::Regular)),
    LazyLock::new(|| Widths::read(Face::Bold)),
    LazyLock::new(|| Widths::read(Face::Italic)),
];

/// The widths of a face's letters as parts of its size: by number below [`ONE_BY_ONE`], else by search.
struct Widths {
    low: Box<[f32]>,
    high: Box<[(char, f32)]>,
}

/// All of Latin, Greek and Cyrillic that the faces have stands before.
const ONE_BY_ONE: u32 = 0x530;

impl Widths {
    fn read(face: Face) -> Self {
        let mut widths = Self { low: vec![f32::NAN; ONE_BY_ONE as usize].into(), high: Box::default() };
        let Ok(file) = ttf_parser::Face::parse(bytes(face), 0) else { return widths };
        let size = f32::from(file.units_per_em());
        let mut high = Vec::new();
        for table in
            file.tables().cmap.iter().flat_map(|cmap| cmap.subtables).filter(|table| table.is_unicode())
        {
            table.codepoints(|code| {
                let Some(letter) = char::from_u32(code) else { return };
                let glyph = file.glyph_index(letter);
                let Some(advance) = glyph.and_then(|glyph| file.glyph_hor_advance(glyph)) else { return };
                let width = f32::from(advance) / size;
                match widths.low.get_mut(code as usize) {
                    Some(low) => *low = width,
                    None => high.push((letter, width)),
                }
            });
        }
        high.sort_by_key(|(letter, _)| *letter);
        high.dedup_by_key(|(letter, _)| *letter);
        widths.high = high.into();
        widths
    }

    fn known(&self, letter: char) -> Option<f32> {
        match self.low.get(letter as usize) {
            Some(width) => Some(*width).filter(|width| !width.is_nan()),
            None => {
                let at = self.high.binary_search_by_key(&letter, |(letter, _)| *letter).ok()?;
                Some(self.high[at].1)
            }
        }
    }

    fn of(&self, letter: char) -> f32 {
        self.known(letter).unwrap_or_else(|| elsewhere(letter))
    }
}

/// About how wide `letter` is in fonts of its script: signs of East Asia and pictures fill a square, marks
/// that stand on the letter before take no room, the rest is taken for a wide letter. From memory.
const fn elsewhere(letter: char) -> f32 {
    match letter as u32 {
        0..0x20 | 0x7f..0xa0 | 0x300..0x370 | 0x200b..0x2010 | 0xfe00..0xfe10 | 0xe0000.. => 0.0,
        0x1100..0x1160
        | 0x2e80..0xa4d0
        | 0xac00..0xd7a4
        | 0xf900..0xfb00
        | 0xfe30..0xfe70
        | 0xff00..0xff61 => 1.0,
        0xffe0..0xffe7 | 0x2600..0x2800 | 0x1f000.. => 1.25,
        _ => 0.7,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FACES: [Face; 3] = [Face::Regular, Face::Bold, Face::Italic];

    #[test]
    fn widths_are_those_of_the_file() {
        for face in FACES {
            let file = ttf_parser::Face::parse(bytes(face), 0).unwrap();
            for letter in "0Aé ßЖω–€ẞ".chars() {
                let glyph = file.glyph_index(letter).unwrap();
                let advance =
                    f32::from(file.glyph_hor_advance(glyph).unwrap()) / f32::from(file.units_per_em());
                assert_eq!(width(face, 1.0, &letter.to_string()), advance, "{face:?} {letter}");
            }
            let capital = f32::from(file.capital_height().unwrap()) / f32::from(file.units_per_em());
            assert!((capital - CAPITAL).abs() < 1e-6);
        }
    }

    #[test]
    fn scripts_that_the_faces_have_not_take_room_all_the_same() {
        assert_eq!(width(Face::Regular, 10.0, "潮汐"), 20.0);
        assert!(width(Face::Regular, 10.0, "مد وجزر") > 30.0);
        assert!(!has(Face::Regular, '潮') && has(Face::Regular, 'Ж'));
    }

    #[test]
    fn digits_are_as_wide_as_each_other() {
        for face in [Face::Regular, Face::Bold] {
            assert_eq!(width(face, 1.0, "1111"), width(face, 1.0, "2803"));
        }
    }
}
