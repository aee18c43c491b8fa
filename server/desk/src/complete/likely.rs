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

/// How often each token follows in the tune what stands before the cursor.
#[derive(Default)]
pub struct Ways(HashMap<Token, u32>);

impl Ways {
    /// What followed elsewhere the note that stands before the cursor, on the same stroke.
    pub fn of(standing: &Standing) -> Self {
        let Some(before) = standing.before else { return Self::default() };
        let tune = standing.music.tune;
        let Some(note) = only_note(standing, standing.music.event(before)) else { return Self::default() };
        // How long the note has sounded by now: it may have been held.
        let bar = &tune.bars[standing.music.bar_of(before).index()];
        let place = standing.place.map(|place| place - bar.lead);
        let event = standing.music.event(before);
        let sounded = place.map_or(event.length, |place| place - event.onset);
        let mut ways = Self::default();
        for (number, event) in (0_u32..).zip(&tune.events).filter(|(number, _)| *number != before.0) {
            if only_note(standing, event) == Some(note) {
                ways.follow(standing, number, event, sounded);
            }
        }
        ways
    }

    fn follow(&mut self, standing: &Standing, number: u32, event: &Event, sounded: Duration) {
        if event.length > sounded {
            *self.0.entry(Token::Hold).or_default() += 1;
            return;
        }
        let Some(next) = standing.music.tune.events.get(number as usize + 1) else { return };
        let same_stroke = standing.music.hand.motion(EventId(number + 1)).stroke == standing.stroke;
        if let Some(note) = only_note(standing, next).filter(|_| event.length == sounded && same_stroke) {
            *self.0.entry(Token::Note(note.string, note.fret, note.how)).or_default() += 1;
        }
    }

    /// How often `token` followed.
    pub fn count(&self, token: Token) -> u32 {
        self.0.get(&token).copied().unwrap_or_default()
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
