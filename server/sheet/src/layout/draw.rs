//! Items in few words, and moving them.

use crate::font;
use crate::frame::{Anchor, Face, Group, Ink, Item, Line, Part, Pen, Point, Shape, Step, Text};

/// A point.
pub const fn point(x: f32, y: f32) -> Point {
    Point { x, y }
}

/// A straight line.
pub const fn line(from: Point, to: Point, width: f32, ink: Ink) -> Item {
    Item::Line(Line { from, to, width, ink })
}

/// Words with their baseline's `anchor` at `at`.
pub fn text(
    at: Point,
    anchor: Anchor,
    (face, size): (Face, f32),
    ink: Ink,
    words: impl Into<String>,
) -> Item {
    Item::Text(Text { at, anchor, face, size, ink, words: words.into() })
}

/// Words whose capitals stand with their middle at `at`.
pub fn centred(at: Point, (face, size): (Face, f32), ink: Ink, words: impl Into<String>) -> Item {
    let at = point(at.x, at.y + size * font::CAPITAL / 2.0);
    text(at, Anchor::Middle, (face, size), ink, words)
}

/// A group.
pub const fn group(part: Part, reading: String, items: Vec<Item>) -> Item {
    Item::Group(Group { part, reading, items })
}

/// A filled outline with straight edges.
pub fn polygon(points: &[Point], ink: Ink) -> Item {
    shape(outline(points), Pen::Fill, ink)
}

/// An outline with straight edges, drawn this thick.
pub fn ring(points: &[Point], width: f32, ink: Ink) -> Item {
    shape(outline(points), Pen::Stroke(width), ink)
}

/// A line through `points`.
pub fn path(points: &[Point], width: f32, ink: Ink) -> Item {
    let mut steps = outline(points);
    steps.pop();
    shape(steps, Pen::Stroke(width), ink)
}

/// An outline.
pub const fn shape(steps: Vec<Step>, pen: Pen, ink: Ink) -> Item {
    Item::Shape(Shape { steps, pen, ink })
}

fn outline(points: &[Point]) -> Vec<Step> {
    let mut steps: Vec<Step> = points.iter().map(|to| Step::Line(*to)).collect();
    if let Some(first) = points.first() {
        steps[0] = Step::Move(*first);
        steps.push(Step::Close);
    }
    steps
}

/// The steps of a circle, or of an oval that is `wide` and `high` from its middle.
pub fn oval(at: Point, wide: f32, high: f32) -> Vec<Step> {
    // Four curves whose control points lie this far along their tangents are round to 0.03 % (from memory).
    let (a, b) = (wide * 0.5523, high * 0.5523);
    let Point { x, y } = at;
    vec![
        Step::Move(point(x + wide, y)),
        Step::Curve(point(x + wide, y + b), point(x + a, y + high), point(x, y + high)),
        Step::Curve(point(x - a, y + high), point(x - wide, y + b), point(x - wide, y)),
        Step::Curve(point(x - wide, y - b), point(x - a, y - high), point(x, y - high)),
        Step::Curve(point(x + a, y - high), point(x + wide, y - b), point(x + wide, y)),
        Step::Close,
    ]
}

/// A dot of radius `radius`.
pub fn dot(at: Point, radius: f32, ink: Ink) -> Item {
    shape(oval(at, radius, radius), Pen::Fill, ink)
}

/// An arc from one point to another, thick in its middle, that rises `rise` above them; below where negative.
pub fn arc(from: Point, to: Point, rise: f32, ink: Ink) -> Item {
    let third = (to.x - from.x) * 0.28;
    let thick = 0.55_f32.copysign(rise);
    let (outer, inner) = ((rise + thick) * 1.33, (rise - thick) * 1.33);
    let steps = vec![
        Step::Move(from),
        Step::Curve(point(from.x + third, from.y - outer), point(to.x - third, to.y - outer), to),
        Step::Curve(point(to.x - third, to.y - inner), point(from.x + third, from.y - inner), from),
        Step::Close,
    ];
    shape(steps, Pen::Fill, ink)
}

/// `words` no wider than `width`: smaller down to `least` of their size, and shortened where that is not enough.
pub fn fitted(words: &str, face: Face, size: f32, width: f32, least: f32) -> (String, f32) {
    let own = font::width(face, size, words);
    if own <= width {
        return (words.to_owned(), size);
    }
    let size = size * (width / own).max(least);
    let mut left = width - font::width(face, size, "…");
    let mut short = String::new();
    if font::width(face, size, words) <= width + 0.01 {
        return (words.to_owned(), size);
    }
    for letter in words.chars() {
        left -= font::width(face, size, letter.encode_utf8(&mut [0; 4]));
        if left < 0.0 {
            break;
        }
        short.push(letter);
    }
    (short.trim_end().to_owned() + "…", size)
}

/// `words` in lines no wider than `width`, broken at blanks where there are any; at most `most` of them.
pub fn wrapped(words: &str, face: Face, size: f32, width: f32, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if line.is_empty() || font::width(face, size, &longer) <= width {
            line = longer;
        } else {
            lines.push(std::mem::replace(&mut line, word.to_owned()));
        }
        if lines.len() == most {
            line.clear();
            if let Some(last) = lines.last_mut() {
                last.push('…');
            }
            break;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines.iter().map(|line| fitted(line, face, size, width, 1.0).0).collect()
}

/// Moves `items` by `by` after making them `scale` times as large.
pub fn place(items: &mut [Item], by: Point, scale: f32) {
    let moved = |at: &mut Point| *at = point(at.x * scale + by.x, at.y * scale + by.y);
    for item in items {
        match item {
            Item::Group(group) => place(&mut group.items, by, scale),
            Item::Line(line) => {
                moved(&mut line.from);
                moved(&mut line.to);
                line.width *= scale;
            }
            Item::Text(text) => {
                moved(&mut text.at);
                text.size *= scale;
            }
            Item::Shape(shape) => {
                for step in &mut shape.steps {
                    match step {
                        Step::Move(at) | Step::Line(at) => moved(at),
                        Step::Curve(one, two, at) => [one, two, at].into_iter().for_each(moved),
                        Step::Close => {}
                    }
                }
                if let Pen::Stroke(width) = &mut shape.pen {
                    *width *= scale;
                }
            }
        }
    }
}
