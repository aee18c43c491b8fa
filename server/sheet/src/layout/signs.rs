//! Signs, drawn: strokes, rests, flags, notes.

use super::draw::{arc, dot, oval, path, point, polygon, ring, shape};
use super::style::{FINE_LINE, SPACE, STROKE};
use crate::frame::{Ink, Item, Pen, Point, Step};
use crate::score::StrokeKind;

/// A stroke of the lane, in the middle of which `at` is. The hand that falls points down, filled where it
/// strikes; the thumb points up; the left hand is an arc.
pub fn stroke(kind: StrokeKind, at: Point) -> Item {
    let Point { x, y } = at;
    let (wide, high) = (STROKE * 1.05, STROKE * 0.95);
    let down = [point(x - wide, y - high), point(x + wide, y - high), point(x, y + high)];
    let up = [point(x - wide, y + high), point(x + wide, y + high), point(x, y - high)];
    match kind {
        StrokeKind::Struck => polygon(&down, Ink::Fall),
        StrokeKind::Air => ring(&down.map(|corner| inward(corner, at)), 0.8, Ink::Fall),
        StrokeKind::Thumb => polygon(&up, Ink::Thumb),
        StrokeKind::Left => {
            let (left, right) = (point(x - wide, y + high * 0.55), point(x + wide, y + high * 0.55));
            let (one, two) = (point(x - wide * 0.6, y - high * 1.3), point(x + wide * 0.6, y - high * 1.3));
            shape(vec![Step::Move(left), Step::Curve(one, two, right)], Pen::Stroke(1.5), Ink::Left)
        }
    }
}

/// A corner drawn in towards the middle, so that its line's outer edge is where the corner was.
fn inward(corner: Point, middle: Point) -> Point {
    point(middle.x + (corner.x - middle.x) * 0.84, middle.y + (corner.y - middle.y) * 0.84)
}

/// A rest of so many `halvings` with its `dots`, in the middle of the strings whose first is at y 0.
pub fn rest(halvings: u8, dots: u8, x: f32) -> Vec<Item> {
    let middle = 2.0 * SPACE;
    let mut items = Vec::new();
    match halvings {
        // A block that hangs from the second string, and one that lies on the third.
        0 => items.push(block(x, SPACE, SPACE + 3.2)),
        1 => items.push(block(x, middle - 3.2, middle)),
        2 => items.push(path(
            &[
                point(x - 1.8, middle - 6.0),
                point(x + 1.9, middle - 2.2),
                point(x - 1.7, middle + 1.2),
                point(x + 1.8, middle + 5.2),
            ],
            1.5,
            Ink::Text,
        )),
        // A slanted stem with a dot and a hook for each time an eighth is halved.
        _ => {
            let hooks = f32::from(halvings.min(6) - 2);
            let top = middle - 4.2 - (hooks - 1.0) * 2.0;
            let foot = middle + 5.0 + (hooks - 1.0) * 2.0;
            let lean = (foot - top) * 0.3;
            items.push(path(&[point(x + 2.6, top), point(x + 2.6 - lean, foot)], 0.9, Ink::Text));
            for hook in 0..halvings.min(6) - 2 {
                let y = top + f32::from(hook) * 4.0;
                let right = x + 2.6 - f32::from(hook) * 4.0 * 0.3;
                items.push(dot(point(right - 4.0, y + 0.5), 1.35, Ink::Text));
                items.push(arc(point(right - 4.4, y + 1.2), point(right, y + 0.2), -1.2, Ink::Text));
            }
        }
    }
    items.extend((0..dots).map(|at| dot(point(x + 5.0 + 2.6 * f32::from(at), middle - 2.0), 0.9, Ink::Text)));
    items
}

fn block(x: f32, top: f32, foot: f32) -> Item {
    let corners = [point(x - 3.4, top), point(x + 3.4, top), point(x + 3.4, foot), point(x - 3.4, foot)];
    polygon(&corners, Ink::Text)
}

/// `count` flags at the foot of a stem, from which they turn up to the right.
pub fn flags(count: u8, foot: Point) -> Vec<Item> {
    let flag = |at: u8| {
        let (x, y) = (foot.x, foot.y - 3.4 * f32::from(at));
        let steps = vec![
            Step::Move(point(x, y)),
            Step::Curve(point(x + 1.0, y - 2.4), point(x + 4.6, y - 3.2), point(x + 4.0, y - 8.0)),
            Step::Curve(point(x + 3.6, y - 5.0), point(x + 1.4, y - 4.6), point(x, y - 3.0)),
            Step::Close,
        ];
        shape(steps, Pen::Fill, Ink::Text)
    };
    (0..count).map(flag).collect()
}

/// The ring at the foot of the stem of a half note, or that a whole note is.
pub fn hollow(at: Point) -> Item {
    shape(oval(at, 2.5, 1.9), Pen::Stroke(1.0), Ink::Text)
}

/// The note that a tempo counts, with its foot at y 0 and its left edge at x: so many halvings and dots. Also
/// answers how wide it is.
pub fn note(x: f32, halvings: u8, dots: u8, ink: Ink) -> (Vec<Item>, f32) {
    let head = point(x + 2.6, -1.8);
    let mut items = Vec::new();
    let lean = 0.55;
    let head_at = |x: f32, y: f32| point(head.x + x * 2.6 + y * 0.2, head.y + y * 1.75 - x * lean);
    let a = 0.5523;
    let steps = vec![
        Step::Move(head_at(1.0, 0.0)),
        Step::Curve(head_at(1.0, a), head_at(a, 1.0), head_at(0.0, 1.0)),
        Step::Curve(head_at(-a, 1.0), head_at(-1.0, a), head_at(-1.0, 0.0)),
        Step::Curve(head_at(-1.0, -a), head_at(-a, -1.0), head_at(0.0, -1.0)),
        Step::Curve(head_at(a, -1.0), head_at(1.0, -a), head_at(1.0, 0.0)),
        Step::Close,
    ];
    items.push(shape(steps, if halvings < 2 { Pen::Stroke(0.8) } else { Pen::Fill }, ink));
    if halvings > 0 {
        items.push(path(&[point(x + 4.85, -2.4), point(x + 4.85, -11.0)], FINE_LINE, ink));
    }
    for flag in 0..halvings.saturating_sub(2) {
        let y = -11.0 + 2.6 * f32::from(flag);
        let steps = vec![
            Step::Move(point(x + 4.85, y)),
            Step::Curve(point(x + 5.4, y + 2.2), point(x + 8.6, y + 2.8), point(x + 7.4, y + 6.4)),
            Step::Curve(point(x + 7.6, y + 4.2), point(x + 6.0, y + 3.4), point(x + 4.85, y + 2.8)),
            Step::Close,
        ];
        items.push(shape(steps, Pen::Fill, ink));
    }
    let mut right = x + if halvings > 2 { 8.4 } else { 5.4 };
    for _ in 0..dots {
        right += 1.8;
        items.push(dot(point(right, -1.8), 0.9, ink));
        right += 1.0;
    }
    (items, right - x)
}

/// A wavy line from x `from` to x `to` whose foot is at y 0.
pub fn wave(from: f32, to: f32, ink: Ink) -> Item {
    let mut steps = vec![Step::Move(point(from, -1.6))];
    let turns = ((to - from) / 2.4).round().max(2.0);
    let wide = (to - from) / turns;
    for turn in 0..turns as u32 {
        let x = from + wide * turn as f32;
        let y = if turn % 2 == 0 { -4.0 } else { 0.8 };
        steps.push(Step::Curve(point(x + wide * 0.35, y), point(x + wide * 0.65, y), point(x + wide, -1.6)));
    }
    shape(steps, Pen::Stroke(0.9), ink)
}

/// An accent around x whose foot is at y 0.
pub fn accent(x: f32) -> Item {
    path(&[point(x - 3.2, -4.4), point(x + 3.2, -2.4), point(x - 3.2, -0.4)], 0.9, Ink::Text)
}

/// The arrow of a choke: from the right of a fret up.
pub fn choke(from: Point) -> Vec<Item> {
    let tip = point(from.x + 3.2, from.y - 7.4);
    let steps =
        vec![Step::Move(from), Step::Curve(point(from.x + 2.6, from.y), point(tip.x, tip.y + 4.5), tip)];
    let head = [point(tip.x - 1.6, tip.y + 1.4), point(tip.x + 1.6, tip.y + 1.4), point(tip.x, tip.y - 1.8)];
    vec![shape(steps, Pen::Stroke(FINE_LINE), Ink::Text), polygon(&head, Ink::Text)]
}

/// The arrow of a brush at x, which goes from string y `from` to `to`.
pub fn brush(x: f32, from: f32, to: f32) -> Vec<Item> {
    let (foot, tip) = (from + 3.2, to - 3.4);
    let head = [point(x - 1.5, tip + 3.0), point(x + 1.5, tip + 3.0), point(x, tip)];
    vec![path(&[point(x, foot), point(x, tip + 2.5)], FINE_LINE, Ink::Text), polygon(&head, Ink::Text)]
}
