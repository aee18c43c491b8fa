//! A sheet as a picture in a PNG file: its pages below each other, on white.

use std::collections::HashMap;

use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, PixmapMut, Stroke, Transform,
};
use ttf_parser::{GlyphId, OutlineBuilder};

use crate::frame::{self, Ink, Item, Page, Sheet, Step, Text};
use crate::glyphs::{BOX, Fonts, Setter};
use crate::palette;

/// The most points that a picture may be wide or high: what programs that show pictures commonly take.
pub const LARGEST: u32 = 32_767;

/// Why there is no picture: it would have more than [`LARGEST`] points one way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLarge;

/// The picture of `sheet`, with so many points to an inch of it, in the bytes of a PNG file.
///
/// # Errors
/// Where it would be larger than [`LARGEST`].
pub fn png(sheet: &Sheet, per_inch: f32, fonts: &Fonts) -> Result<Vec<u8>, TooLarge> {
    let scale = per_inch / 72.0;
    let points = |length: f32| (length * scale).ceil() as u32;
    let width = sheet.pages.iter().map(|page| points(page.width)).max().unwrap_or(0);
    let height = sheet.pages.iter().map(|page| points(page.height)).fold(0, u32::saturating_add);
    if width.max(height) > LARGEST {
        return Err(TooLarge);
    }
    let mut picture = Pixmap::new(width, height).ok_or(TooLarge)?;
    picture.fill(Color::WHITE);
    let mut brush =
        Brush { fonts, setter: Setter::new(fonts), outlines: HashMap::new(), picture: picture.as_mut() };
    let mut top = 0;
    for page in &sheet.pages {
        brush.page(page, Transform::from_scale(scale, scale).post_translate(0.0, top as f32));
        top += points(page.height);
    }
    picture.encode_png().map_err(|_| TooLarge)
}

/// What draws on a picture.
struct Brush<'b, 'f> {
    fonts: &'f Fonts,
    setter: Setter<'f>,
    /// The outlines met so far, by font and glyph, one high.
    outlines: HashMap<(usize, u32), Option<Path>>,
    picture: PixmapMut<'b>,
}

impl Brush<'_, '_> {
    fn page(&mut self, page: &Page, place: Transform) {
        self.items(&page.items, place);
    }

    fn items(&mut self, items: &[Item], place: Transform) {
        for item in items {
            match item {
                Item::Group(group) => self.items(&group.items, place),
                Item::Line(line) => {
                    let mut path = PathBuilder::new();
                    path.move_to(line.from.x, line.from.y);
                    path.line_to(line.to.x, line.to.y);
                    let stroke = Stroke { width: line.width, line_cap: LineCap::Butt, ..Stroke::default() };
                    self.stroke(path.finish(), line.ink, &stroke, place);
                }
                Item::Shape(shape) => match shape.pen {
                    frame::Pen::Fill => self.fill(outline(&shape.steps).as_ref(), shape.ink, place),
                    frame::Pen::Stroke(width) => {
                        let (line_cap, line_join) = (LineCap::Round, LineJoin::Round);
                        let stroke = Stroke { width, line_cap, line_join, ..Stroke::default() };
                        self.stroke(outline(&shape.steps), shape.ink, &stroke, place);
                    }
                },
                Item::Text(text) => self.text(text, place),
            }
        }
    }

    fn text(&mut self, text: &Text, place: Transform) {
        let (set, back) = self.setter.set(text);
        let Text { at, size, ink, .. } = text;
        for run in &set.runs {
            let mut x = at.x - back + run.x * size;
            for glyph in &run.glyphs {
                let at = place.pre_translate(x + glyph.offset.0 * size, at.y - glyph.offset.1 * size);
                let at = at.pre_scale(*size, -size);
                match run.font {
                    Some(font) => {
                        let path = self.outline(font, glyph.id);
                        self.fill(path.as_ref(), *ink, at);
                    }
                    None => self.stroke(missing(), *ink, &Stroke { width: 0.05, ..Stroke::default() }, at),
                }
                x += glyph.advance * size;
            }
        }
    }

    fn outline(&mut self, font: usize, glyph: u32) -> Option<Path> {
        let fonts = self.fonts;
        let read = || {
            let font = fonts.all().get(font)?.read()?;
            let mut outline = Outline(PathBuilder::new());
            font.outline_glyph(GlyphId(u16::try_from(glyph).ok()?), &mut outline)?;
            let em = f32::from(font.units_per_em());
            outline.0.finish()?.transform(Transform::from_scale(1.0 / em, 1.0 / em))
        };
        self.outlines.entry((font, glyph)).or_insert_with(read).clone()
    }

    fn fill(&mut self, path: Option<&Path>, ink: Ink, place: Transform) {
        if let Some(path) = path {
            self.picture.fill_path(path, &paint(ink), FillRule::Winding, place, None);
        }
    }

    fn stroke(&mut self, path: Option<Path>, ink: Ink, stroke: &Stroke, place: Transform) {
        if let Some(path) = path {
            self.picture.stroke_path(&path, &paint(ink), stroke, place, None);
        }
    }
}

fn paint(ink: Ink) -> Paint<'static> {
    let [red, green, blue] = palette::rgb(ink);
    let mut paint = Paint::default();
    paint.set_color_rgba8(red, green, blue, 255);
    paint
}

fn outline(steps: &[Step]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for step in steps {
        match *step {
            Step::Move(to) => path.move_to(to.x, to.y),
            Step::Line(to) => path.line_to(to.x, to.y),
            Step::Curve(one, two, to) => path.cubic_to(one.x, one.y, two.x, two.y, to.x, to.y),
            Step::Close => path.close(),
        }
    }
    path.finish()
}

/// The box that stands for a character no font has.
fn missing() -> Option<Path> {
    let area = tiny_skia::Rect::from_ltrb(0.05, 0.0, BOX.0 - 0.05, BOX.1)?;
    Some(PathBuilder::from_rect(area))
}

/// A glyph's outline, in the units of its font.
struct Outline(PathBuilder);

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to(x, y);
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to(x, y);
    }
    fn quad_to(&mut self, one: f32, up: f32, x: f32, y: f32) {
        self.0.quad_to(one, up, x, y);
    }
    fn curve_to(&mut self, one: f32, up: f32, two: f32, high: f32, x: f32, y: f32) {
        self.0.cubic_to(one, up, two, high, x, y);
    }
    fn close(&mut self) {
        self.0.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::by_hand::{sheet, words};

    fn picture(sheet: &Sheet, per_inch: f32) -> Pixmap {
        Pixmap::decode_png(&png(sheet, per_inch, &Fonts::new()).unwrap()).unwrap()
    }

    #[test]
    fn a_picture_has_so_many_points_to_an_inch() {
        let sheet = sheet("", vec![words("II")]);
        let large = picture(&sheet, 144.0);
        assert_eq!((large.width(), large.height()), (1191, 1684));
        let dark: Vec<usize> = large
            .pixels()
            .iter()
            .enumerate()
            .filter(|(_, pixel)| pixel.red() < 128)
            .map(|(at, _)| at)
            .collect();
        let (first, last) = (dark[0], dark[dark.len() - 1]);
        // Two capitals on a baseline at 100 points, 6.6 high, and a good five wide.
        assert_eq!((first / 1191, last / 1191), (187, 199));
        assert!(dark.iter().all(|at| (200..212).contains(&(at % 1191))));
    }

    #[test]
    fn characters_that_no_font_has_are_boxes() {
        let boxes = picture(&sheet("", vec![words("潮汐")]), 72.0);
        assert_ne!(boxes.data(), picture(&sheet("", vec![words("  ")]), 72.0).data());
        let sheet = sheet("", vec![words("e\u{301} 潮汐 潮")]);
        assert_eq!(Fonts::new().missing([&sheet]), ['汐', '潮'].into());
    }

    #[test]
    fn a_picture_too_large_for_anything_is_not_made() {
        let mut sheet = sheet("", Vec::new());
        sheet.pages = vec![sheet.pages[0].clone(); 40];
        assert!(png(&sheet, 36.0, &Fonts::new()).is_ok());
        assert_eq!(png(&sheet, 300.0, &Fonts::new()), Err(TooLarge));
    }
}
