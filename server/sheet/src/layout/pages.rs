//! Blocks to pages: each stands whole on one page.

use super::draw::{group, place, point, text};
use super::style::BETWEEN;
use crate::frame::{Anchor, Face, Ink, Item, Page, Part};

/// Something that is not parted: the heading, a system, a remark.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// What is left free between it and what stands above it.
    pub before: f32,
    /// How far it reaches above y 0.
    pub above: f32,
    /// How far it reaches below.
    pub below: f32,
    /// Its items, whose left margin is x 0.
    pub items: Vec<Item>,
}

impl Default for Block {
    fn default() -> Self {
        Self { before: BETWEEN, above: 0.0, below: 0.0, items: Vec::new() }
    }
}

impl Block {
    fn height(&self) -> f32 {
        self.above + self.below
    }
}

/// What blocks are put on.
#[derive(Clone, Copy, Debug)]
pub struct Ground {
    /// The width of a page.
    pub width: f32,
    /// Its height, where it has one.
    pub height: Option<f32>,
    /// How large a point of a block is on it.
    pub scale: f32,
    /// From its edge, in points of a block.
    pub margin: f32,
}

/// The room at the foot of a page for its number.
const FOOTING: f32 = 14.0;

/// Puts `blocks` on pages from top to bottom, with `footing` at the foot of each.
pub fn pages(blocks: Vec<Block>, ground: Ground, title: &str, footing: &str) -> Vec<Page> {
    let room =
        ground.height.map_or(f32::INFINITY, |height| height / ground.scale - 2.0 * ground.margin - FOOTING);
    let mut pages: Vec<Vec<(f32, Block)>> = vec![Vec::new()];
    let mut y = 0.0;
    for block in blocks {
        let fresh = pages.last().is_none_or(Vec::is_empty);
        let top = if fresh { 0.0 } else { y + block.before };
        let over = top + block.height() > room && !fresh;
        let top = if over { 0.0 } else { top };
        if over {
            pages.push(Vec::new());
        }
        y = top + block.height();
        if let Some(page) = pages.last_mut() {
            page.push((top, block));
        }
    }
    let count = pages.len();
    let page = |(number, blocks)| finish(blocks, number, count, ground, (title, footing));
    (1..).zip(pages).map(page).collect()
}

fn finish(
    mut blocks: Vec<(f32, Block)>,
    number: usize,
    count: usize,
    ground: Ground,
    (title, words): (&str, &str),
) -> Page {
    let Ground { width, height, scale, margin } = ground;
    let end = blocks.last().map_or(0.0, |(top, block)| top + block.height());
    let room = height.map_or(end, |height| height / scale - 2.0 * margin - FOOTING);
    // A page that is nearly full is filled, so that its foot is where the other pages' are.
    if blocks.len() > 2 && number < count && room > end {
        let more = ((room - end) / (blocks.len() - 1) as f32).min(BETWEEN * 1.6);
        for (at, (top, _)) in blocks.iter_mut().enumerate() {
            *top += more * at as f32;
        }
    }
    let mut items = Vec::new();
    for (top, mut block) in blocks {
        place(&mut block.items, point(margin, margin + top + block.above), 1.0);
        items.append(&mut block.items);
    }
    let foot = margin + room + FOOTING + 4.0;
    let edge = width / scale - margin;
    let mut footing = Vec::new();
    let small = (Face::Regular, 7.5);
    if !words.is_empty() && number == 1 {
        let (words, size) = super::draw::fitted(words, small.0, small.1, (edge - margin) * 0.8, 0.8);
        footing.push(text(point(margin, foot), Anchor::Start, (small.0, size), Ink::Faint, words));
    }
    if count > 1 {
        let number = format!("{number} / {count}");
        footing.push(text(point(edge, foot), Anchor::End, small, Ink::Faint, number));
    }
    if number > 1 {
        let (title, size) = super::draw::fitted(title, Face::Italic, 7.5, (edge - margin) * 0.8, 0.8);
        footing.push(text(point(margin, foot), Anchor::Start, (Face::Italic, size), Ink::Faint, title));
    }
    if !footing.is_empty() {
        items.push(group(Part::Footing, String::new(), footing));
    }
    place(&mut items, point(0.0, 0.0), scale);
    let own = (2.0 * margin + room + FOOTING) * scale;
    Page { width, height: height.unwrap_or(own), items }
}
