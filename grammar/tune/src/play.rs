use std::ops::Range;

use crate::order::{DEEPEST, LONGEST};
use crate::{BarContent, BarId, Duration, EventKind, How, Moment, NoteId, Pitch, SectionId, Tune};

/// What sounds when a tune is played through once: repeats, endings, phrases and order unfolded.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Played {
    /// The bars in the order they are played.
    pub bars: Vec<PlayedBar>,
    /// The notes in the order they sound.
    pub notes: Vec<PlayedNote>,
    /// How long it all takes.
    pub length: Duration,
}

/// A bar as it is played once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlayedBar {
    /// The bar whose slots are played; for `%` the one it repeats.
    pub bar: BarId,
    /// The frame in force in [`Tune::frames`]; for `%` that of its own place, not of the bar it repeats.
    pub frame: u32,
    /// The time through a part that it belongs to, in [`Tune::passes`].
    pub pass: u32,
    /// Its number in that part as a player counts: from 1, 0 for the pickup, an ending's going on from its
    /// part's. Each bar of a phrase that is called counts.
    pub number: u32,
    /// When it begins, from the start of the tune.
    pub start: Moment,
    /// The time it takes.
    pub length: Duration,
}

/// A note as it sounds once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlayedNote {
    /// The note as written.
    pub note: NoteId,
    /// When it sounds, from the start of the tune.
    pub onset: Moment,
    /// How long it is written to last, holds into later bars included.
    pub length: Duration,
    /// What it sounds, when the string and fret exist.
    pub pitch: Option<Pitch>,
    /// Its string, as written.
    pub string: u8,
    /// Its fret, as written.
    pub fret: u8,
    /// What makes it sound.
    pub how: How,
}

/// Plays `tune` through once.
///
/// A part is followed by the ending of its pass. `%` plays what the bar before it played, a call the bars
/// of its phrase; a phrase that comes round to itself is left out there. A bar takes the time of its meter
/// even where its slots fill less, except that a pickup takes its own time and the bar before it gives that
/// back; slots that fill more than the meter take what they fill. Bars of a phrase are whole bars wherever it
/// is called. Playing stops after [`LONGEST`] bars, calls included, and starts no further bar once a million
/// notes have sounded.
pub fn play(tune: &Tune) -> Played {
    let mut unfolding =
        Unfolding { tune, turns: Vec::new(), inside: Vec::new(), left: LONGEST, pass: 0, next: 1 };
    for (number, pass) in (0..).zip(tune.passes()) {
        (unfolding.pass, unfolding.next) = (number, 1);
        unfolding.section(pass.part);
        if let Some(ending) = pass.ending {
            unfolding.section(ending);
        }
    }
    perform(tune, &unfolding.turns)
}

/// The notes after which no further bar is played: a tune of this length lasts for days, and a repeated
/// line of a million notes would otherwise fill the memory.
const MOST_NOTES: usize = 1_000_000;

/// A bar's turn to be played.
#[derive(Clone, Copy)]
struct Turn {
    /// The bar whose slots are played.
    bar: BarId,
    /// The frame in force.
    frame: u32,
    /// The time through a part, and its number in there.
    pass: u32,
    number: u32,
    /// Whether it is played as its part's pickup.
    pickup: bool,
}

/// The order in which bars are played, as it grows.
struct Unfolding<'t> {
    tune: &'t Tune,
    turns: Vec<Turn>,
    /// The phrases being played, each called by the one before.
    inside: Vec<SectionId>,
    /// How many more bars are unfolded. Calls count too: phrases of nothing but calls never play a bar.
    left: usize,
    /// The time through a part that is being unfolded, and the number of its next bar.
    pass: u32,
    next: u32,
}

impl Unfolding<'_> {
    /// Plays the bars of the section numbered `id`.
    fn section(&mut self, id: SectionId) {
        let tune = self.tune;
        let section = &tune.sections[id.index()];
        for (bar, _) in tune.bars_of(section).take(self.left) {
            let pickup = section.has_pickup() && bar.0 == section.bars.start;
            self.bar(bar, pickup);
        }
    }

    fn bar(&mut self, id: BarId, pickup: bool) {
        let Some(left) = self.left.checked_sub(1) else { return };
        self.left = left;
        let bar = &self.tune.bars[id.index()];
        let played = match bar.content {
            BarContent::Slots => id,
            // With nothing before it, it is as empty as it is written.
            BarContent::Again => self.turns.last().map_or(id, |turn| turn.bar),
            BarContent::Phrase { section, .. } => {
                if let Some(phrase) = section {
                    self.call(phrase);
                }
                return;
            }
        };
        let number = if pickup { 0 } else { self.next };
        self.next = number + 1;
        self.turns.push(Turn { bar: played, frame: bar.frame, pass: self.pass, number, pickup });
    }

    /// Plays the phrase numbered `id`, unless it is being played already.
    fn call(&mut self, id: SectionId) {
        if self.inside.contains(&id) || self.inside.len() >= DEEPEST as usize {
            return;
        }
        self.inside.push(id);
        self.section(id);
        self.inside.pop();
    }
}

/// Gives each turn its time and sounds its notes.
fn perform(tune: &Tune, turns: &[Turn]) -> Played {
    let mut stage = Stage { tune, played: Played::default(), sounding: 0..0 };
    for (at, turn) in turns.iter().enumerate() {
        if stage.played.notes.len() >= MOST_NOTES {
            break;
        }
        stage.bar(turn, time_of(tune, turn, turns.get(at + 1)));
    }
    stage.played
}

/// The time `turn` takes when `next` follows it.
fn time_of(tune: &Tune, turn: &Turn, next: Option<&Turn>) -> Duration {
    let own = tune.bars[turn.bar.index()].length;
    if turn.pickup {
        return own;
    }
    let full = tune.frames[turn.frame as usize].meter.bar();
    let given_back =
        next.filter(|next| next.pickup).map_or(Duration::ZERO, |next| tune.bars[next.bar.index()].length);
    own.max(full - given_back)
}

struct Stage<'t> {
    tune: &'t Tune,
    played: Played,
    /// The notes that a hold would prolong.
    sounding: Range<usize>,
}

impl Stage<'_> {
    fn bar(&mut self, turn: &Turn, length: Duration) {
        let start = Moment::START + self.played.length;
        let Turn { bar, frame, pass, number, .. } = *turn;
        self.played.bars.push(PlayedBar { bar, frame, pass, number, start, length });
        self.played.length += length;
        for event in self.tune.events_of(&self.tune.bars[turn.bar.index()]) {
            match event.kind {
                EventKind::Notes => {
                    let first = self.played.notes.len();
                    for note in event.notes.clone() {
                        self.sound(NoteId(note), start + event.onset.since_start(), event.length);
                    }
                    self.sounding = first..self.played.notes.len();
                }
                EventKind::Silence => self.sounding = 0..0,
                EventKind::Ring => {
                    for note in &mut self.played.notes[self.sounding.clone()] {
                        note.length += event.length;
                    }
                }
            }
        }
    }

    fn sound(&mut self, note: NoteId, onset: Moment, length: Duration) {
        let written = self.tune.notes[note.index()];
        let header = &self.tune.header;
        self.played.notes.push(PlayedNote {
            note,
            onset,
            length,
            pitch: header.tuning.sounds(written.string, written.fret, header.capo),
            string: written.string,
            fret: written.fret,
            how: written.how,
        });
    }
}

#[cfg(test)]
mod tests;
