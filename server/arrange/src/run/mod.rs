//! Runs: a straight stretch of tab played in threes.
//!
//! [`runs`] finds, for a stretch of a bar whose gait goes in twos, the notes that make 3, 6, 9 or 12 of it in
//! the three-note gait. A run begins on the melody's first note there and ends on its last; what lies between
//! is of the key's scale, bent to the chords that are written ([`harmony`]), and moves smoothly ([`shape`]).
//! Both hands play it as [`crate::ways`] allow, and have to land on the note that follows. Of all runs the
//! best few are found by exact [`search`], weighing effort and smoothness in the same units.
//! [`straight()`] takes a run back.

mod harmony;
mod search;
mod shape;
mod straight;
#[cfg(test)]
mod tests;

use lope_tune::{
    BarContent, BarId, Duration, EventKind, Frame, Gait, How, Key, Marks, Moment, Neck, Note, Pitch, Stroke,
    Tune,
};

use crate::outline::{Sung, outline};
use crate::steps::Step;
use crate::ways::{State, Way, Ways};
use crate::{Choice, Level, Wishes};
pub use harmony::BLUES;
use harmony::{Fit, Harmony};
use search::{Path, best};
pub use straight::straight;

/// The most notes of a run.
pub const LONGEST: usize = 12;

/// A stretch of a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// The bar.
    pub bar: BarId,
    /// Where it begins, from the start of the bar's slots.
    pub start: Moment,
    /// How long it lasts.
    pub length: Duration,
}

impl Passage {
    /// Whether `onset`, in its bar, is in it.
    pub fn has(&self, onset: Moment) -> bool {
        onset >= self.start && onset < self.start + self.length
    }
}

/// What a run should be like.
#[derive(Clone, Debug)]
pub struct RunWishes {
    /// How many notes it has: 3, 6, 9 or 12.
    pub notes: u32,
    /// The key of the tune.
    pub key: Key,
    /// Whether it is made of the blues scale on the key's tonic.
    pub blues: bool,
    /// What it asks of the player.
    pub level: Level,
    /// The neck it is for.
    pub neck: Neck,
}

/// A run that could be played.
#[derive(Clone, Debug, PartialEq)]
pub struct Triplets {
    /// The notes, one for each of its slots.
    pub notes: Vec<Note>,
    /// What they sound.
    pub pitches: Vec<Pitch>,
    /// Its effort, the landing included, in the units of [`crate::effort`].
    pub effort: u32,
    /// What it costs the ear, in the same units.
    pub roughness: u32,
}

/// Why there is no run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoRun {
    /// The gait of the bar does not go in twos.
    NotStraight,
    /// The passage does not begin and end with a pair of the gait.
    NotOnPairs,
    /// So many notes are no threes in the time of two or of four strokes each.
    DoesNotFit,
    /// No note of the melody begins with the passage.
    NoFirstNote,
    /// The neck has no place for its first or its last note.
    OffTheNeck,
    /// No hand gets through.
    NoWay,
}

/// How many notes of a run fit `length` in the gait of `frame`: three in the time of two strokes each, and
/// then three in the time of four.
pub fn fitting(frame: &Frame, length: Duration) -> Vec<u32> {
    [3, 6, 9, 12].into_iter().rev().filter(|notes| slot(frame.gait, length, *notes).is_some()).collect()
}

/// The length of a slot of a run of `notes` that lasts `length`, where it fits `gait`.
fn slot(gait: Gait, length: Duration, notes: u32) -> Option<Duration> {
    let three = length.share(notes / 3);
    let fits = matches!(notes, 3 | 6 | 9 | 12) && [2, 4].iter().any(|two| gait.step().times(*two) == three);
    fits.then(|| three.share(3))
}

/// The best runs in the place of `passage` of `tune`, the best first and each of another line.
///
/// # Errors
/// When there is none.
pub fn runs(tune: &Tune, passage: &Passage, wishes: &RunWishes) -> Result<Vec<Triplets>, NoRun> {
    let bar = &tune.bars[passage.bar.index()];
    let gait = tune.frame(bar).gait;
    if !is_straight(gait) || bar.content != BarContent::Slots {
        return Err(NoRun::NotStraight);
    }
    let place = passage.start + bar.lead;
    let pairs = place.since_start().is_multiple_of(gait.period());
    if !pairs || !passage.length.is_multiple_of(gait.period()) {
        return Err(NoRun::NotOnPairs);
    }
    let slot = slot(gait, passage.length, wishes.notes).ok_or(NoRun::DoesNotFit)?;
    let melody = outline(tune, passage.bar);
    let slots = slots(tune, passage, wishes, slot, &melody)?;
    let choice = Choice { tuning: tune.header.tuning, capo: tune.header.capo, up: 0 };
    let arranging = Wishes { level: wishes.level, neck: wishes.neck, ..Wishes::default() };
    let ways = Ways::new(&choice, &arranging);
    let ends = [slots.first(), slots.last()].into_iter().flatten();
    if ends.flat_map(|slot| &slot.pitches).any(|pitch| ways.places_of(*pitch).next().is_none()) {
        return Err(NoRun::OffTheNeck);
    }
    let found = best(&slots, &before(tune, passage, &ways), landing(tune, passage).as_ref(), &ways);
    if found.is_empty() {
        return Err(NoRun::NoWay);
    }
    let fingered = last_fingered(tune, passage).map_or(0, |note| note.string);
    let mut runs: Vec<Triplets> =
        found.iter().map(|path| triplets(path, wishes.notes as usize, fingered)).collect();
    let marks =
        melody.iter().find(|sung| sung.onset == passage.start).map(|sung| tune.notes[sung.note.index()]);
    for first in runs.iter_mut().filter_map(|run| run.notes.first_mut()) {
        // Where it stays where it was, it is played as it was.
        if let Some(was) = marks.filter(|was| (was.string, was.fret) == (first.string, first.fret)) {
            first.marks = was.marks;
        }
    }
    Ok(runs)
}

/// Whether `gait` goes in twos: a fall and a rise.
pub fn is_straight(gait: Gait) -> bool {
    gait.strokes() == 2 && gait.stroke(0) == Stroke::Fall && gait.stroke(1) == Stroke::Rise
}

/// A slot of a run.
#[derive(Clone, Debug)]
struct Slot {
    /// What the hand does there. Its pitch is one of those below.
    step: Step,
    /// What may sound there.
    pitches: Vec<Pitch>,
    /// What fits there.
    fit: Fit,
    /// The melody's note at that moment, where a three begins.
    melody: Option<Pitch>,
}

/// The slots of a run of `notes` in the place of `passage`, each as long as `slot`.
fn slots(
    tune: &Tune,
    passage: &Passage,
    wishes: &RunWishes,
    slot: Duration,
    melody: &[Sung],
) -> Result<Vec<Slot>, NoRun> {
    let sung: Vec<&Sung> = melody.iter().filter(|sung| passage.has(sung.onset)).collect();
    let (Some(first), Some(last)) = (sung.first(), sung.last()) else { return Err(NoRun::NoFirstNote) };
    if first.onset != passage.start {
        return Err(NoRun::NoFirstNote);
    }
    let low = sung.iter().map(|sung| sung.pitch.0).min().unwrap_or_default().saturating_sub(shape::BEYOND);
    let high = sung.iter().map(|sung| sung.pitch.0).max().unwrap_or_default().saturating_add(shape::BEYOND);
    let harmony = Harmony::new(tune, wishes.key, wishes.blues);
    let gait = Gait::three(slot);
    let as_written = tune.notes[first.note.index()];
    let slots = (0..wishes.notes).map(|number| {
        let onset = passage.start + slot.times(number);
        let fit = harmony.at(passage.bar, onset);
        let pitches = match number {
            0 => vec![first.pitch],
            _ if number + 1 == wishes.notes => vec![last.pitch],
            _ => (low..=high).map(Pitch).filter(|pitch| fit.has(*pitch)).collect(),
        };
        let begins = number % 3 == 0;
        let step = Step {
            note: number as usize,
            bar: passage.bar,
            onset,
            pitch: first.pitch,
            stroke: gait.stroke(u64::from(number)),
            air: false,
            rested: false,
            since: slot,
            grace: false,
            // A strike stays where the player has it: the run goes on from there.
            fixed: (number == 0 && is_long_strike(&as_written)).then_some(as_written),
        };
        let melody = sung.iter().rev().find(|sung| sung.onset <= onset).map(|sung| sung.pitch);
        Slot { step, pitches, fit, melody: melody.filter(|_| begins) }
    });
    Ok(slots.collect())
}

/// Where the hands may be when `passage` begins: wherever the left hand holds what was fingered last.
fn before(tune: &Tune, passage: &Passage, ways: &Ways<'_>) -> Vec<State> {
    let Some(note) = last_fingered(tune, passage) else { return vec![State::START] };
    let held = |position| State { string: note.string, fret: note.fret, position, slurred: false };
    let positions = ways.holding(note.fret);
    if note.fret == 0 { vec![held(1)] } else { positions.map(held).collect() }
}

/// The last note on a long string before `passage`, in its bar or the one before it in its section; none after
/// a silence.
fn last_fingered<'t>(tune: &'t Tune, passage: &Passage) -> Option<&'t Note> {
    let section = tune.sections.iter().find(|section| section.bars.contains(&passage.bar.0))?;
    let bars = (section.bars.start.max(passage.bar.0.saturating_sub(1))..=passage.bar.0).rev();
    let events = bars
        .flat_map(|bar| tune.events_of(&tune.bars[bar as usize]).iter().rev().map(move |event| (bar, event)));
    let before = events.filter(|(bar, event)| *bar != passage.bar.0 || event.onset < passage.start);
    let mut sounding = before.map(|(_, event)| event).take_while(|event| event.kind != EventKind::Silence);
    let on_long = |note: &&Note| (1..=4).contains(&note.string);
    sounding.find_map(|event| tune.notes_of(event).iter().rev().find(on_long))
}

/// The note that follows `passage` in its bar or opens the next of its section, as it is written.
fn landing(tune: &Tune, passage: &Passage) -> Option<Step> {
    let end = passage.start + passage.length;
    let section = tune.sections.iter().find(|section| section.bars.contains(&passage.bar.0))?;
    let here = outline(tune, passage.bar).into_iter().find(|sung| sung.onset >= end);
    let next = BarId(passage.bar.0 + 1);
    let sung = match here {
        Some(sung) => sung,
        None if section.bars.contains(&next.0) => outline(tune, next).into_iter().next()?,
        None => return None,
    };
    let note = tune.notes[sung.note.index()];
    let since = if sung.bar == passage.bar { sung.onset - end } else { sung.onset.since_start() };
    // Only a strike on a long string is asked of the hand: what a thumb or slur needs is between it and
    // whatever else stands before it.
    is_long_strike(&note).then_some(Step {
        note: 0,
        bar: sung.bar,
        onset: sung.onset,
        pitch: sung.pitch,
        stroke: Stroke::Fall,
        air: false,
        rested: false,
        since,
        grace: false,
        fixed: Some(note),
    })
}

fn is_long_strike(note: &Note) -> bool {
    note.how == How::Strike && (1..=4).contains(&note.string)
}

fn triplets(path: &Path, notes: usize, mut fingered: u8) -> Triplets {
    Triplets {
        notes: path.ways.iter().take(notes).filter_map(|way| note_of(way, &mut fingered)).collect(),
        pitches: path.line.iter().take(notes).copied().map(Pitch).collect(),
        effort: path.effort,
        roughness: path.roughness,
    }
}

/// What `way` sounds, after the string `fingered`, which it may change.
fn note_of(way: &Way, fingered: &mut u8) -> Option<Note> {
    let Way::Play { string, fret, how, .. } = *way else { return None };
    let alternate = how.is_slur() && string != *fingered;
    if string < 5 {
        *fingered = string;
    }
    Some(Note { string, fret, how, alternate, marks: Marks::default() })
}
