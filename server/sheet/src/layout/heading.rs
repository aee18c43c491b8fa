//! What stands above the music: title, kind, who made it, tempo, tuning, and what is said of the tune.

use lope_tune::{Feel, Tune};

use super::draw::{fitted, group, point, text, wrapped};
use super::labels::{custom_gait, tempo};
use super::pages::Block;
use crate::font;
use crate::frame::{Anchor, Face, Ink, Item, Part};
use crate::spelling;

const TITLE: f32 = 21.0;
const FACTS: f32 = 9.5;

/// The heading of `tune` over `width`.
pub fn heading(tune: &Tune, width: f32) -> Block {
    let header = &tune.header;
    let mut heading = Heading { items: Vec::new(), y: 0.0, width };
    heading.title(&header.title, header.kind.as_deref().unwrap_or_default());
    heading.facts(tune);
    for words in [&header.note, &header.source].into_iter().flatten() {
        heading.paragraph(words);
    }
    let below = heading.y + 4.0;
    Block {
        above: TITLE * 0.8,
        below,
        items: vec![group(Part::Heading, String::new(), heading.items)],
        ..Block::default()
    }
}

struct Heading {
    items: Vec<Item>,
    /// The last baseline.
    y: f32,
    width: f32,
}

impl Heading {
    fn title(&mut self, title: &str, kind: &str) {
        let title = if title.trim().is_empty() { "(no title)" } else { title };
        let (kind, kind_size) = fitted(kind, Face::Italic, 11.5, self.width * 0.3, 0.8);
        let kind_wide = font::width(Face::Italic, kind_size, &kind);
        let room = self.width - if kind.is_empty() { 0.0 } else { kind_wide + 14.0 };
        let size = if font::width(Face::Bold, TITLE, title) <= room { TITLE } else { TITLE * 0.75 };
        let lines = wrapped(title, Face::Bold, size, room, 3);
        for (at, line) in lines.into_iter().enumerate() {
            self.y += if at > 0 { size * 1.15 } else { 0.0 };
            self.text(0.0, Anchor::Start, (Face::Bold, size), Ink::Text, line);
        }
        if !kind.is_empty() {
            let at = point(self.width, 0.0);
            self.items.push(text(at, Anchor::End, (Face::Italic, kind_size), Ink::Text, kind));
        }
    }

    fn text(&mut self, x: f32, anchor: Anchor, font: (Face, f32), ink: Ink, words: impl Into<String>) {
        self.items.push(text(point(x, self.y), anchor, font, ink, words));
    }

    /// Tempo, tuning and the like in a row, as far as there is room in it; and who made the tune, at its end.
    fn facts(&mut self, tune: &Tune) {
        let header = &tune.header;
        self.y += 18.0;
        let by = header.by.as_deref().unwrap_or_default();
        let (by, by_size) = fitted(by, Face::Regular, FACTS, self.width * 0.35, 0.8);
        let by_wide = font::width(Face::Regular, by_size, &by);
        if !by.is_empty() {
            self.text(self.width, Anchor::End, (Face::Regular, by_size), Ink::Text, by);
        }
        let frame = tune.bars.first().map(|bar| tune.frame(bar)).or(tune.frames.first());
        let mut x = 0.0;
        if let Some(frame) = frame {
            let (items, wide) = tempo(frame, 0.0, self.y);
            self.items.extend(items);
            x = wide + 16.0;
        }
        let first = self.y;
        for fact in facts(tune) {
            let (fact, size) = fitted(&fact, Face::Regular, FACTS, self.width * 0.95, 0.8);
            let wide = font::width(Face::Regular, size, &fact);
            let room = self.width - if self.y == first && by_wide > 0.0 { by_wide + 12.0 } else { 0.0 };
            if x > 0.0 && x + wide > room {
                self.y += FACTS * 1.35;
                x = 0.0;
            }
            self.text(x, Anchor::Start, (Face::Regular, size), Ink::Text, fact);
            x += wide + 16.0;
        }
    }

    fn paragraph(&mut self, words: &str) {
        for line in wrapped(words, Face::Italic, 9.2, self.width, 6) {
            self.y += 12.5;
            self.text(0.0, Anchor::Start, (Face::Italic, 9.2), Ink::Text, line);
        }
    }
}

/// What a player has to know before the first note.
pub fn facts(tune: &Tune) -> Vec<String> {
    let header = &tune.header;
    let mut facts = Vec::new();
    let notes = spelling::whole(&header.tuning);
    facts.push(match spelling::name(&header.tuning) {
        Some(name) => format!("{name} tuning, {notes}"),
        None => format!("tuning {notes}"),
    });
    if header.capo > 0 {
        facts.push(format!("capo {}", header.capo));
    }
    let frame = tune.bars.first().map(|bar| tune.frame(bar)).or(tune.frames.first());
    if let Some(frame) = frame {
        if frame.feel != Feel::Straight {
            facts.push(frame.feel.to_string());
        }
        if let Some(gait) = custom_gait(frame) {
            facts.push(format!("gait {gait}"));
        }
    }
    if !header.order.is_empty() {
        facts.push(format!("played {}", header.order.join(" ")));
    }
    facts
}
