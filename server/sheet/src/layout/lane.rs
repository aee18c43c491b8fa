//! Strokes and counts below the strings.

use super::draw::{centred, group, point};
use super::placed::Placed;
use super::signs;
use super::style::{COUNT, COUNT_ROW, LANE};
use crate::frame::{Face, Ink, Item, Part};
use crate::score::{Count, Stroke};

/// A stroke in the lane whose upper edge is at y `top`.
pub fn stroke(stroke: &Stroke, bar: &Placed<'_>, top: f32) -> Item {
    signs::stroke(stroke.kind, point(bar.columns.x(stroke.at), top + LANE - 3.0))
}

/// Count number `number` of its bar, in the row whose upper edge is at y `top`.
pub fn count(number: usize, count: &Count, bar: &Placed<'_>, top: f32) -> Item {
    let (face, ink) = if count.first { (Face::Bold, Ink::Text) } else { (Face::Regular, Ink::Faint) };
    let at = point(bar.columns.x(count.at), top + COUNT_ROW / 2.0 - 0.4);
    group(
        Part::Count(number as u32),
        String::new(),
        vec![centred(at, (face, COUNT), ink, count.said.as_str())],
    )
}
