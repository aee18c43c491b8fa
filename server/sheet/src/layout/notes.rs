//! Frets on their strings, and what stands beside them.

use lope_tune::{Event, Finger, How, Note, NoteId};

use super::above::{Owner, Raised, Row, Skyline};
use super::draw::{arc, centred, line, point, text};
use super::measure::{Reach, aside, beside, is_brushed};
use super::signs::{accent, brush, choke, wave};
use super::style::{FINE_LINE, FINGER, FRET, FRET_AIR, FRET_HALF, SLUR, SPACE, fret_width, fret_words};
use super::system::Stage;
use crate::font;
use crate::frame::{Anchor, Face, Ink, Item};

/// What the notes of a system leave behind them as they are drawn one after the other.
#[derive(Debug, Default)]
pub struct Trail {
    /// Where the last fret on each string ended; strings have their own number.
    ends: [Option<f32>; 6],
    /// The room behind frets where no string runs, on each string.
    pub gaps: [Vec<(f32, f32)>; 5],
    /// How high things reach.
    pub skyline: Skyline,
    /// What stands above.
    pub raised: Vec<Raised>,
}

/// The y of a string, of which the first is at 0. Strings that do not exist are drawn where the nearest is.
pub fn string_y(string: u8) -> f32 {
    f32::from(string.clamp(1, 5) - 1) * SPACE
}

impl Trail {
    /// Draws the notes of `event` at `x`, which is number `place` among the events of its system.
    pub fn event(&mut self, stage: &Stage<'_>, event: &Event, x: f32, place: usize) -> Vec<Item> {
        let notes = stage.tune.notes_of(event);
        let mut items = Vec::new();
        if is_brushed(notes) {
            items.extend(self.brush(notes, x, Reach::of(stage.tune, event)));
        }
        let mut letters = String::new();
        let mut from = None;
        for (at, note) in notes.iter().enumerate() {
            let (number, x) = (NoteId(event.notes.start + at as u32), x + aside(notes, at));
            if note.how.is_slur() {
                let begins = self.slur(stage, number, note, x, &mut items);
                from = from.or(begins);
                let letter = letter(note.how);
                if !letters.contains(letter) {
                    letters.push_str(letter);
                }
            }
            self.fret(note, x, &mut items);
        }
        for (at, note) in notes.iter().enumerate() {
            let x = x + aside(notes, at);
            let string = usize::from(note.string.clamp(1, 5));
            self.ends[string] = Some(x + fret_width(note.fret) / 2.0 + FRET_AIR + beside(note));
        }
        if !letters.is_empty() {
            let middle = from.map_or(x - 5.0, |from| (from + x - FRET_AIR - 2.4) / 2.0);
            self.above(Row::Slurs, middle, &letters, place);
        }
        self.marks(notes, x, place);
        items
    }

    fn fret(&mut self, note: &Note, x: f32, items: &mut Vec<Item>) {
        let y = string_y(note.string);
        let half = fret_width(note.fret) / 2.0 + FRET_AIR;
        items.push(centred(point(x, y), (Face::Regular, FRET), Ink::Text, fret_words(note.fret)));
        self.gaps[usize::from(note.string.clamp(1, 5) - 1)].push((x - half, x + half));
        if note.string <= 1 {
            self.skyline.add(x - half, x + half, -FRET_HALF);
        }
        if let Some(finger) = note.marks.finger {
            let at = point(x + half - 0.6, y - 0.8);
            items.push(text(at, Anchor::Start, (Face::Italic, FINGER), Ink::Text, finger_letter(finger)));
            let end = x + half + font::width(Face::Italic, FINGER, finger_letter(finger));
            if note.string <= 1 {
                self.skyline.add(x, end, -0.8 - FINGER * 0.7);
            }
        }
        if note.marks.choke {
            items.extend(choke(point(x + half, y)));
            self.skyline.add(x + half, x + half + 5.0, y - 9.4);
        }
    }

    /// The arc of a hammer-on or pull-off, or the line of a slide; answers where it begins.
    fn slur(
        &mut self,
        stage: &Stage<'_>,
        id: NoteId,
        note: &Note,
        x: f32,
        items: &mut Vec<Item>,
    ) -> Option<f32> {
        let y = string_y(note.string);
        let half = fret_width(note.fret) / 2.0 + FRET_AIR;
        let sounding = stage.hand.slur(id).and_then(|slur| slur.from);
        let (end, before) = (x - half, self.ends[usize::from(note.string.clamp(1, 5))]);
        let begins = match (sounding, before) {
            (None, _) => return None,
            (Some(_), Some(before)) if before < end - 2.0 => before,
            // It comes from the line above.
            (Some(_), _) => end - 7.0,
        };
        if note.how == How::Slide {
            let up = if sounding.is_some_and(|from| from > note.fret) { -1.0 } else { 1.0 };
            let (from, to) = (point(begins + 0.6, y + 2.2 * up), point(end - 0.6, y - 2.2 * up));
            items.push(line(from, to, FINE_LINE, Ink::Text));
        } else {
            let rise = (2.0 + (end - begins) * 0.04).min(3.2);
            let height = y - FRET_HALF + 0.4;
            self.skyline.add(begins, end, height - rise - 0.6);
            items.push(arc(point(begins - 1.2, height), point(end + 1.2, height), rise, Ink::Text));
        }
        Some(begins)
    }

    fn brush(&mut self, notes: &[Note], x: f32, reach: Reach) -> Vec<Item> {
        let struck = || notes.iter().filter(|note| note.how == How::Strike).map(|note| string_y(note.string));
        let (from, to) = (struck().fold(0.0, f32::max), struck().fold(f32::MAX, f32::min));
        let x = x - reach.left + 1.8;
        self.skyline.add(x - 2.0, x + 2.0, to - 4.0);
        brush(x, from, to)
    }

    fn above(&mut self, row: Row, middle: f32, words: &str, place: usize) {
        let half = font::width(Face::Regular, SLUR, words) / 2.0;
        let at = point(middle, 0.0);
        self.raised.push(Raised {
            row,
            from: middle - half,
            to: middle + half,
            height: SLUR * font::CAPITAL,
            items: vec![text(at, Anchor::Middle, (Face::Regular, SLUR), Ink::Text, words)],
            owner: Owner::Event(place),
        });
    }

    fn marks(&mut self, notes: &[Note], x: f32, place: usize) {
        let mut raise = |items: Vec<Item>, wide: f32| {
            let owner = Owner::Event(place);
            let (from, to) = (x - wide, x + wide);
            self.raised.push(Raised { row: Row::Marks, from, to, height: 4.8, items, owner });
        };
        if notes.iter().any(|note| note.marks.accent) {
            raise(vec![accent(x)], 3.6);
        }
        if notes.iter().any(|note| note.marks.vibrato) {
            raise(vec![wave(x - 4.8, x + 4.8, Ink::Text)], 5.2);
        }
    }
}

/// The letter that stands for a slur. Common practice.
const fn letter(how: How) -> &'static str {
    match how {
        How::Hammer => "H",
        How::Pull => "P",
        How::Slide => "SL",
        How::Strike | How::Thumb => "",
    }
}

const fn finger_letter(finger: Finger) -> &'static str {
    match finger {
        Finger::Index => "i",
        Finger::Middle => "m",
        Finger::Ring => "r",
        Finger::Little => "p",
    }
}
