//! What stands below the music: what the strokes mean, and the remarks.

use super::draw::{fitted, group, point, text, wrapped};
use super::labels::flag;
use super::pages::Block;
use super::signs;
use super::system::Stage;
use crate::font;
use crate::frame::{Anchor, Face, Ink, Item, Part};
use crate::reading;
use crate::score::{Content, StrokeKind};
use crate::wishes::Remark;

const SIZE: f32 = 8.0;

/// Says what the strokes mean that the lane has.
pub fn legend(stage: &Stage<'_>, width: f32) -> Option<Block> {
    let mut kinds: Vec<StrokeKind> = drawn_strokes(stage).collect();
    kinds.sort_unstable();
    kinds.dedup();
    if kinds.is_empty() {
        return None;
    }
    let (mut x, mut y) = (0.0, 0.0);
    let mut items = Vec::new();
    for kind in kinds {
        let words = match kind {
            StrokeKind::Struck => "the hand falls and strikes",
            StrokeKind::Air => "it falls on air",
            StrokeKind::Thumb => "thumb",
            StrokeKind::Left => "left hand alone",
        };
        let wide = 11.0 + font::width(Face::Regular, SIZE, words);
        if x > 0.0 && x + wide > width {
            (x, y) = (0.0, y + 12.0);
        }
        items.push(signs::stroke(kind, point(x + 3.2, y - SIZE * font::CAPITAL / 2.0)));
        let (words, size) = fitted(words, Face::Regular, SIZE, (width - 11.0).max(10.0), 0.5);
        items.push(text(point(x + 11.0, y), Anchor::Start, (Face::Regular, size), Ink::Faint, words));
        x += wide + 16.0;
    }
    Some(Block {
        above: SIZE,
        below: y + 2.0,
        items: vec![group(Part::Footing, String::new(), items)],
        ..Block::default()
    })
}

fn drawn_strokes(stage: &Stage<'_>) -> impl Iterator<Item = StrokeKind> {
    let bars = stage.score.bars.iter().filter(|drawn| drawn.content == Content::Slots);
    let contents = bars.filter_map(|drawn| stage.contents[drawn.bar.index()].as_ref());
    contents.flat_map(|contents| contents.strokes.iter().map(|stroke| stroke.kind))
}

/// The remarks, each with its number and where it belongs.
pub fn remarks(stage: &Stage<'_>, width: f32) -> Vec<Block> {
    let block = |(number, remark): (usize, &Remark)| {
        let (mut items, _) = flag(number, point(6.0, 1.6));
        let place = stage.score.bars.iter().position(|drawn| drawn.is_of(remark.bar));
        let place = place.map_or_else(String::new, |at| reading::place(stage.tune, stage.score, at) + ": ");
        let words = format!("{place}{}", remark.text);
        let lines = wrapped(&words, Face::Regular, 8.8, (width - 16.0).max(20.0), 8);
        let count = lines.len().max(1);
        for (at, line) in lines.into_iter().enumerate() {
            let at = point(16.0, 11.5 * at as f32);
            items.push(text(at, Anchor::Start, (Face::Regular, 8.8), Ink::Text, line));
        }
        let items = vec![group(Part::Finding(number as u32), String::new(), items)];
        Block {
            before: if number == 0 { 14.0 } else { 4.0 },
            above: 9.0,
            below: 11.5 * (count - 1) as f32 + 3.0,
            items,
        }
    };
    let is_drawn = |remark: &Remark| {
        stage.wishes.passage.is_none() || stage.score.bars.iter().any(|drawn| drawn.is_of(remark.bar))
    };
    let remarks = stage.wishes.remarks.iter().enumerate();
    remarks.filter(|(_, remark)| is_drawn(remark)).map(block).collect()
}

/// A line of its own, such as what is said where there is no music.
pub fn sentence(words: &str, width: f32) -> Block {
    let (words, size) = fitted(words, Face::Italic, 11.0, width, 0.6);
    let items: Vec<Item> =
        vec![text(point(0.0, 0.0), Anchor::Start, (Face::Italic, size), Ink::Faint, words)];
    Block { above: 24.0, below: 4.0, items, ..Block::default() }
}
