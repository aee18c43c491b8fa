//! What a tune tells of its own ways: what has followed a note before is likely to follow it again.

use std::collections::HashMap;

use lope_tune::{Duration, EventId, How, Note, Tune};

use super::standing::Standing;

/// A token of music, as far as it is likely or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Token {
    /// A note: its string, fret, and what makes it sound.
    Note(u8, u8, How),
    /// A hold.
    Hold,
}

/// How many events back are compared: what comes after four that are the same is hardly by chance.
const MEMORY: u32 = 4;

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
        let event = standing.music.event(before);
        // How long it has sounded by now: it may have been held.
        let sounded = match standing.place.filter(|_| !standing.opens_bar) {
            Some(place) => place - tune.bars[standing.music.bar_of(before).index()].lead - event.onset,
            None => event.length,
        };
        for number in (0..tune.events.len() as u32).map(EventId).filter(|number| *number != before) {
            let alike = alike(tune, before, number);
            if alike > 0 {
                ways.follow(standing, number, sounded, alike * alike);
            }
        }
        ways
    }

    /// Counts `times` times what follows the event numbered `number` once it has sounded that long.
    fn follow(&mut self, standing: &Standing, number: EventId, sounded: Duration, times: u32) {
        let event = standing.music.event(number);
        let next = EventId(number.0 + 1);
        let token = match standing.music.tune.events.get(next.index()) {
            _ if event.length > sounded => Token::Hold,
            Some(next_event) if event.length == sounded => {
                let same_stroke = standing.music.hand.motion(next).stroke == standing.stroke;
                match standing.music.tune.notes_of(next_event) {
                    [note] if same_stroke => Token::Note(note.string, note.fret, note.how),
                    _ => return,
                }
            }
            _ => return,
        };
        *self.following.entry(token).or_default() += times;
    }

    /// How often `token` followed; it counts for more where more before it was the same.
    pub fn count(&self, token: Token) -> u32 {
        self.following.get(&token).copied().unwrap_or_default()
    }

    /// How often `string` is sounded at `fret`.
    pub fn place(&self, string: u8, fret: u8) -> u32 {
        self.places.get(&(string, fret)).copied().unwrap_or_default()
    }
}

/// How many events that end with `a` are those that end with `b`, up to [`MEMORY`].
fn alike(tune: &Tune, a: EventId, b: EventId) -> u32 {
    let back =
        |from: EventId, steps: u32| from.0.checked_sub(steps).and_then(|at| tune.events.get(at as usize));
    let same = |steps: &u32| match (back(a, *steps), back(b, *steps)) {
        (Some(a), Some(b)) => a.kind == b.kind && sounds(tune.notes_of(a)).eq(sounds(tune.notes_of(b))),
        _ => false,
    };
    (0..MEMORY).take_while(same).count() as u32
}

/// What `notes` are without their marks.
fn sounds(notes: &[Note]) -> impl Iterator<Item = (u8, u8, How)> {
    notes.iter().map(|note| (note.string, note.fret, note.how))
}
