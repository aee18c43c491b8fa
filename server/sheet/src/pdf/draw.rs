//! Items drawn on a page of a PDF document.

use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Rect};
use krilla::paint::{Fill, LineCap, LineJoin, Stroke};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};

use crate::frame::{self, Ink, Line, Shape, Step, Text};
use crate::glyphs::{BOX, Fonts, Run, Setter};
use crate::palette;

/// What draws items.
pub struct Pen<'f> {
    fonts: Vec<Option<Font>>,
    /// What sets their words.
    pub setter: Setter<'f>,
}

impl<'f> Pen<'f> {
    /// Draws with `fonts`.
    pub fn new(fonts: &'f Fonts) -> Self {
        let read = |font: &crate::glyphs::Font| {
            let (bytes, index) = font.file();
            Font::new(std::sync::Arc::clone(bytes).into(), index)
        };
        Self { fonts: fonts.all().iter().map(read).collect(), setter: Setter::new(fonts) }
    }

    /// Draws a stretch of `text` that starts `back` points left of where the text is.
    pub fn run(&self, surface: &mut Surface<'_>, text: &Text, back: f32, run: &Run) {
        let Text { at, size, ink, words, .. } = text;
        surface.set_fill(Some(fill(*ink)));
        surface.set_stroke(None);
        let start = at.x - back + run.x * size;
        let Some(font) = run.font.and_then(|font| self.fonts.get(font)?.clone()) else {
            return boxes(surface, text, start, run.glyphs.len());
        };
        let glyph = |glyph: &crate::glyphs::Glyph| {
            let (id, (x, y)) = (GlyphId::new(glyph.id), glyph.offset);
            KrillaGlyph::new(id, glyph.advance, x, y, 0.0, glyph.range.clone(), None)
        };
        let glyphs: Vec<KrillaGlyph> = run.glyphs.iter().map(glyph).collect();
        surface.draw_glyphs(Point::from_xy(start, at.y), &glyphs, font, words, *size, false);
    }
}

/// Draws a line.
pub fn line(surface: &mut Surface<'_>, line: &Line) {
    let mut path = PathBuilder::new();
    path.move_to(line.from.x, line.from.y);
    path.line_to(line.to.x, line.to.y);
    let stroke = Stroke { width: line.width, line_cap: LineCap::Butt, ..stroke(line.ink) };
    drawn(surface, path.finish(), None, Some(stroke));
}

/// Draws an outline.
pub fn shape(surface: &mut Surface<'_>, shape: &Shape) {
    let path = outline(&shape.steps);
    match shape.pen {
        frame::Pen::Fill => drawn(surface, path, Some(fill(shape.ink)), None),
        frame::Pen::Stroke(width) => {
            let round =
                Stroke { width, line_cap: LineCap::Round, line_join: LineJoin::Round, ..stroke(shape.ink) };
            drawn(surface, path, None, Some(round));
        }
    }
}

/// Draws a box for each of `count` characters that no font has.
fn boxes(surface: &mut Surface<'_>, text: &Text, start: f32, count: usize) {
    let (width, height) = (BOX.0 * text.size, BOX.1 * text.size);
    let thick = text.size / 20.0;
    let mut path = PathBuilder::new();
    for at in 0..count {
        let left = start + width * at as f32;
        let (right, top) = (left + width - 2.0 * thick, text.at.y - height);
        if let Some(area) = Rect::from_ltrb(left + thick, top, right, text.at.y) {
            path.push_rect(area);
        }
    }
    drawn(surface, path.finish(), None, Some(Stroke { width: thick, ..stroke(text.ink) }));
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

fn drawn(surface: &mut Surface<'_>, path: Option<Path>, fill: Option<Fill>, stroke: Option<Stroke>) {
    if let Some(path) = path {
        surface.set_fill(fill);
        surface.set_stroke(stroke);
        surface.draw_path(&path);
    }
}

fn color(ink: Ink) -> rgb::Color {
    let [red, green, blue] = palette::rgb(ink);
    rgb::Color::new(red, green, blue)
}

fn fill(ink: Ink) -> Fill {
    Fill { paint: color(ink).into(), ..Fill::default() }
}

fn stroke(ink: Ink) -> Stroke {
    Stroke { paint: color(ink).into(), ..Stroke::default() }
}
