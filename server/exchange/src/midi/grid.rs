//! Notes as they were played, to where a player would write them.
//!
//! Each beat is divided as coarsely as its notes allow: what a division costs is how far its notes move, and a
//! little for each way of dividing that is harder to read. The weights are judgements, tried on files with a
//! player's jitter.

use lope_tune::{Duration, Moment, Pitch};

use super::clock::Clock;
use super::voices::{Note, Voice};
use crate::Remark;
use crate::remark::counted;

/// A note on the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// When it begins, from the start of the file.
    pub onset: Moment,
    /// How long it lasts; nothing for one that came too shortly before the next to be written.
    pub length: Duration,
    /// What it sounds.
    pub pitch: Pitch,
}

/// Ways to divide a beat of two halves, and of three thirds, with what each costs in hundredths of a beat.
const STRAIGHT: [(i64, i64); 6] = [(1, 0), (2, 2), (4, 5), (3, 6), (6, 15), (8, 15)];
const COMPOUND: [(i64, i64); 6] = [(1, 0), (3, 2), (6, 5), (2, 8), (4, 12), (12, 15)];

/// The notes of `voice` on the grid that `clock` beats.
pub fn to_grid(voice: &Voice, clock: &Clock, remarks: &mut Vec<Remark>) -> Vec<Placed> {
    let notes = highest(voice, clock, remarks);
    let mut placed: Vec<Placed> = Vec::with_capacity(notes.len());
    let (mut moved, mut furthest) = (0, 0);
    let mut rest = &notes[..];
    while let Some(first) = rest.first() {
        let beat = clock.beat_at(first.start);
        let here = rest.iter().take_while(|note| clock.beat_at(note.start) == beat).count();
        let (notes, later) = rest.split_at(here);
        let parts = division(notes, beat.start, beat.ticks, beat.is_compound);
        for note in notes {
            let part = nearest(note.start - beat.start, beat.ticks, parts);
            let away = (note.start - beat.start - part * beat.ticks / parts).abs();
            moved += usize::from(away > 0);
            furthest = furthest.max(100 * away / beat.ticks);
            let onset = beat.onset + beat.length.times(part.max(0) as u32).share(parts as u32);
            placed.push(Placed { onset, length: Duration::ZERO, pitch: note.pitch });
        }
        rest = later;
    }
    last(&mut placed, &notes, clock);
    let graces = placed.iter().filter(|note| note.length == Duration::ZERO).count();
    if moved > 0 {
        remarks.push(Remark::of_all(format!(
            "{moved} of {} notes are moved to the nearest place in their beat, by {furthest} hundredths of a beat at most",
            placed.len()
        )));
    }
    if graces > 0 {
        remarks.push(Remark::of_all(format!(
            "{} too short to be written taken for grace notes",
            counted(graces, "note")
        )));
    }
    placed
}

/// Of notes that sound together from the start, the highest.
fn highest(voice: &Voice, clock: &Clock, remarks: &mut Vec<Remark>) -> Vec<Note> {
    let mut notes: Vec<Note> = Vec::with_capacity(voice.notes.len());
    let mut together = 0;
    for note in &voice.notes {
        let near = clock.beat_at(note.start).ticks / 16;
        match notes.last_mut() {
            Some(last) if note.start - last.start <= near && last.end > note.start + near => {
                together += 1;
                if note.pitch > last.pitch {
                    *last = Note { start: last.start, ..*note };
                }
            }
            _ => notes.push(*note),
        }
    }
    if together > 0 {
        remarks.push(Remark::of_all(format!(
            "of notes that sound together the highest is taken for the melody, and {together} are left out"
        )));
    }
    notes
}

/// Into how many parts the beat that begins at `start` is divided for `notes`.
fn division(notes: &[Note], start: i64, ticks: i64, is_compound: bool) -> i64 {
    let ways = if is_compound { COMPOUND } else { STRAIGHT };
    let cost = |(parts, own): &(i64, i64)| {
        let places: Vec<i64> = notes.iter().map(|note| nearest(note.start - start, ticks, *parts)).collect();
        let away: i64 = notes
            .iter()
            .zip(&places)
            .map(|(note, part)| (note.start - start - part * ticks / parts).abs())
            .sum();
        // Two notes in one place are one too many, unless the first is over as soon as it begins.
        let lost = places
            .windows(2)
            .zip(notes)
            .filter(|(two, note)| two[0] == two[1] && note.end - note.start > ticks / 12);
        own + 100 * away / ticks + 40 * lost.count() as i64
    };
    ways.iter().min_by_key(|way| cost(way)).map_or(1, |(parts, _)| *parts)
}

/// Which of `parts` of a beat of so many `ticks` is nearest to `place`.
const fn nearest(place: i64, ticks: i64, parts: i64) -> i64 {
    (2 * place * parts + ticks).div_euclid(2 * ticks)
}

/// Lets each of `placed` last: to the next where what lies between is no rest that anybody would write, else to
/// the nearest slot after it.
fn last(placed: &mut [Placed], notes: &[Note], clock: &Clock) {
    for at in 0..placed.len() {
        let slot = clock.slot_at(notes[at].start);
        let written = clock.moment(notes[at].end);
        let next = placed.get(at + 1).map(|next| next.onset);
        let (slots, over) = written.since_start().divide(slot);
        let up = u32::from(over + over >= slot);
        let end = Moment::START + slot.times(slots as u32 + up);
        let end = end.max(placed[at].onset + slot.share(2));
        let is_rest = |next: Moment| {
            next - end >= slot && (end - placed[at].onset).times(4) < (next - placed[at].onset).times(3)
        };
        let end = match next {
            Some(next) if end >= next || !is_rest(next) => next,
            _ => end,
        };
        placed[at].length = end - placed[at].onset;
    }
}
