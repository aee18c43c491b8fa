//! What a tune tells of its own ways: what has followed a note before is likely to follow it again.

use std::collections::HashMap;

use lope_tune::{Duration, Event, EventId, EventKind, How, Note};

use super::standing::Standing;

/// A token of music, as far as it is likely or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Token {
    /// A note: its string, fret, and what makes it sound.
    Note(u8, u8, How),
    /// A hold.
    Hold,
}

/// What a tune has done so far.
#[derive(Default)]
pub struct Ways {
    /// How often each token follows what stands before the cursor.
    following: HashMap<Token, u32>,
    /// How often each string is sounded at each fret.
    places: HashMap<(u8, u8), u32>,
}

impl Ways {
    /// The places the tune has, and what followed elsewhere the note that stands before the cursor, on the
    /// same stroke.
    pub fn of(standing: &Standing) -> Self {
        let tune = standing.music.tune;
        let mut ways = Self::default();
        for note in &tune.notes {
            *ways.places.entry((note.string, note.fret)).or_default() += 1;
        }
        let Some(before) = standing.before else { return ways };
        let Some(note) = only_note(standing, standing.music.event(before)) else { return ways };
        // How long the note has sounded by now: it may have been held.
        let bar = &tune.bars[standing.music.bar_of(before).index()];
        let place = standing.place.map(|place| place - bar.lead);
        let event = standing.music.event(before);
        let sounded = place.map_or(event.length, |place| place - event.onset);
        for (number, event) in (0_u32..).zip(&tune.events).filter(|(number, _)| *number != before.0) {
            if only_note(standing, event) == Some(note) {
                ways.follow(standing, number, event, sounded);
            }
        }
        ways
    }

    fn follow(&mut self, standing: &Standing, number: u32, event: &Event, sounded: Duration) {
        if event.length > sounded {
            *self.following.entry(Token::Hold).or_default() += 1;
            return;
        }
        let Some(next) = standing.music.tune.events.get(number as usize + 1) else { return };
        let same_stroke = standing.music.hand.motion(EventId(number + 1)).stroke == standing.stroke;
        if let Some(note) = only_note(standing, next).filter(|_| event.length == sounded && same_stroke) {
            *self.following.entry(Token::Note(note.string, note.fret, note.how)).or_default() += 1;
        }
    }

    /// How often `token` followed.
    pub fn count(&self, token: Token) -> u32 {
        self.following.get(&token).copied().unwrap_or_default()
    }

    /// How often `string` is sounded at `fret`.
    pub fn place(&self, string: u8, fret: u8) -> u32 {
        self.places.get(&(string, fret)).copied().unwrap_or_default()
    }
}

/// The note of `event`, where it has one only; without its marks.
fn only_note(standing: &Standing, event: &Event) -> Option<Note> {
    match standing.music.tune.notes_of(event) {
        [note] if event.kind == EventKind::Notes => {
            Some(Note { marks: lope_tune::Marks::default(), alternate: false, ..*note })
        }
        _ => None,
    }
}
