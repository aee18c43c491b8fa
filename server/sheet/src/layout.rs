//! Gives everything its place.

use lope_hand::Hand;
use lope_tune::{EventKind, Tune};

use crate::frame::{Anchor, Face, Group, Ink, Item, Line, Page, Part, Point, Sheet, Text};
use crate::score::Score;
use crate::wishes::Wishes;

/// Lays `tune` out, which is played as `hand` says.
pub fn lay(tune: &Tune, _hand: &Hand, wishes: &Wishes) -> Sheet {
    let score = Score::of(tune);
    let (width, height) = wishes.paper.size();
    let (margin, space) = (40.0, 8.0);
    let mut pages = Vec::new();
    let mut items = vec![Item::Group(Group {
        part: Part::Heading,
        reading: String::new(),
        items: vec![text(margin, 60.0, 18.0, Face::Bold, Ink::Text, &tune.header.title)],
    })];
    let (mut x, mut y) = (margin, 100.0);
    for (at, drawn) in score.bars.iter().enumerate() {
        let bar = &tune.bars[drawn.bar.index()];
        let events = tune.events_of(bar);
        let wide = 12.0 + 18.0 * events.len().max(1) as f32;
        if x > margin && x + wide > width - margin {
            (x, y) = (margin, y + 80.0);
        }
        if height.is_some_and(|height| y + 80.0 > height) {
            pages.push(Page { width, height: height.unwrap_or(y), items: std::mem::take(&mut items) });
            y = 60.0;
        }
        let mut inner = Vec::new();
        for string in 0..5 {
            let y = y + space * string as f32;
            inner.push(line(x, y, x + wide, y, 0.6, Ink::Staff));
        }
        inner.push(line(x + wide, y, x + wide, y + 4.0 * space, 0.9, Ink::Text));
        for (place, event) in events.iter().enumerate() {
            let x = x + 12.0 + 18.0 * place as f32;
            let notes = tune.notes_of(event).iter().map(|note| {
                let y = y + space * (f32::from(note.string.clamp(1, 5)) - 1.0) + 3.0;
                text(x, y, 9.0, Face::Regular, Ink::Text, &note.fret.to_string())
            });
            let number = bar.events.start + place as u32;
            if event.kind == EventKind::Notes {
                inner.push(Item::Group(Group {
                    part: Part::Event(number),
                    reading: String::new(),
                    items: notes.collect(),
                }));
            }
        }
        let reading = format!("bar {}", drawn.number);
        items.push(Item::Group(Group { part: Part::Bar(at as u32), reading, items: inner }));
        x += wide;
    }
    pages.push(Page { width, height: height.unwrap_or(y + 80.0), items });
    Sheet { title: tune.header.title.clone(), about: String::new(), pages, played: score.played }
}

fn line(x: f32, y: f32, to_x: f32, to_y: f32, width: f32, ink: Ink) -> Item {
    Item::Line(Line { from: Point { x, y }, to: Point { x: to_x, y: to_y }, width, ink })
}

fn text(x: f32, y: f32, size: f32, face: Face, ink: Ink, words: &str) -> Item {
    Item::Text(Text { at: Point { x, y }, anchor: Anchor::Start, face, size, ink, words: words.to_owned() })
}
