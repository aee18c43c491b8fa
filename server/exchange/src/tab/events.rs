//! The events of a bar, made of the notes and rests of its measures.

use std::collections::HashMap;

use lope_tune::{BarContent, BarId, Duration, Event, EventKind, Moment, Note, Run, Tune};

use super::hands::{Hands, stroke};
use super::{RUN_SIZES, Sound, Strings};
use crate::Place;

/// Events as they grow.
#[derive(Default)]
pub struct Events {
    /// Whether something sounds that could ring on.
    pub sounding: bool,
    /// What each bar leaves: what was fingered, and whether something sounds.
    pub left: HashMap<u32, (Option<(u8, u8)>, bool)>,
}

/// A note or rest, and the measure it stands in.
type Placed<'m> = (Sound, &'m Place);

impl Events {
    /// Fills the bar numbered `id` with `sounds`.
    pub fn bar(
        &mut self,
        tune: &mut Tune,
        id: BarId,
        mut sounds: Vec<Placed<'_>>,
        strings: &Strings,
        hands: &mut Hands<'_>,
    ) {
        take_graces(&mut sounds, tune.frame(&tune.bars[id.index()]).unit, hands);
        let first_run = tune.runs.len();
        tune.runs.extend(runs(id, &sounds));
        sounds.sort_by_key(|(sound, _)| sound.onset);
        let first = tune.events.len() as u32;
        let end = Moment::START + tune.bars[id.index()].length;
        let mut now = Moment::START;
        let mut rest = &sounds[..];
        while let Some((next, _)) = rest.first() {
            let onset = next.onset.min(end).max(now);
            self.silence(tune, id, now, onset, first_run);
            let together = rest.iter().take_while(|(sound, _)| sound.onset == next.onset).count();
            let (here, later) = rest.split_at(together);
            let until = later.first().map_or(end, |(sound, _)| sound.onset);
            // What stands in several voices sounds until the next of any begins.
            let lasts = here.iter().map(|(sound, _)| sound.end()).max().unwrap_or(onset).min(until).min(end);
            let lasts = lasts.max(onset);
            self.sound(tune, id, here, (onset, lasts), (strings, first_run), hands);
            now = lasts;
            rest = later;
        }
        self.silence(tune, id, now, end, first_run);
        tune.bars[id.index()].events = first..tune.events.len() as u32;
    }

    /// Adds what begins together, at the first of `span` and to the second.
    fn sound(
        &mut self,
        tune: &mut Tune,
        id: BarId,
        sounds: &[Placed<'_>],
        span: (Moment, Moment),
        (strings, first_run): (&Strings, usize),
        hands: &mut Hands<'_>,
    ) {
        let (onset, end) = span;
        let pitched = || sounds.iter().filter(|(sound, _)| sound.pitch.is_some());
        let struck = || pitched().filter(|(sound, _)| !sound.tied);
        if struck().next().is_none() && pitched().next().is_some() && self.sounding {
            return self.ring(tune, id, onset, end, first_run);
        }
        let bar = &tune.bars[id.index()];
        let (gait, lead) = (tune.frame(bar).gait, bar.lead);
        let stroke = stroke(gait, lead, &tune.runs[first_run..], onset);
        let before = hands.fingered;
        // A tie from nowhere sounds its note.
        let from_nowhere = !self.sounding && struck().next().is_none();
        let fresh: Vec<&Placed<'_>> = if from_nowhere { pitched().collect() } else { struck().collect() };
        let notes: Vec<Note> = fresh
            .into_iter()
            .filter_map(|(sound, place)| hands.note(sound, place, stroke, before, strings))
            .collect();
        if notes.is_empty() {
            return self.silence(tune, id, onset, end, first_run);
        }
        let start = tune.notes.len() as u32;
        tune.notes.extend(notes);
        let notes = start..tune.notes.len() as u32;
        self.push(tune, (onset, end), EventKind::Notes, notes, first_run);
        self.sounding = true;
    }

    /// Lets what sounds go on.
    fn ring(&self, tune: &mut Tune, id: BarId, onset: Moment, end: Moment, first_run: usize) {
        let begun = onset > Moment::START;
        match tune.events.last_mut().filter(|_| begun && tune.bars[id.index()].length.is_positive()) {
            Some(last) => last.length = end - last.onset,
            None => self.push(
                tune,
                (onset, end),
                EventKind::Ring,
                tune.notes.len() as u32..tune.notes.len() as u32,
                first_run,
            ),
        }
    }

    /// Adds silence from `now` to `end`, slot by slot.
    fn silence(&mut self, tune: &mut Tune, id: BarId, mut now: Moment, end: Moment, first_run: usize) {
        let unit = tune.frame(&tune.bars[id.index()]).unit;
        while now < end {
            self.sounding = false;
            let run = tune.runs[first_run..].iter().find(|run| is_in(run, now));
            let (from, slot) = run.map_or((Moment::START, unit), |run| (run.start, run.slot));
            let (slots, _) = (now - from).divide(slot);
            let next = (from + slot.times(slots as u32 + 1)).min(end);
            let none = tune.notes.len() as u32;
            self.push(tune, (now, next), EventKind::Silence, none..none, first_run);
            now = next;
        }
    }

    fn push(
        &self,
        tune: &mut Tune,
        (onset, end): (Moment, Moment),
        kind: EventKind,
        notes: std::ops::Range<u32>,
        first_run: usize,
    ) {
        let run = (first_run..).zip(&tune.runs[first_run..]).find(|(_, run)| is_in(run, onset));
        let run = run.map(|(at, _)| at as u32);
        tune.events.push(Event { onset, length: end - onset, kind, notes, run });
    }

    /// Whether the bars `a` and `b` hold the same.
    pub fn are_the_same(&self, tune: &Tune, a: BarId, b: BarId) -> bool {
        let [a, b] = [a, b].map(|id| &tune.bars[id.index()]);
        let said = |event: &Event| (event.onset, event.length, event.kind, tune.notes_of(event).to_vec());
        let events = |bar| tune.events_of(bar).iter().map(said);
        // Of bars that are repeated already, the one they repeat is not at hand.
        a.content == BarContent::Slots && events(a).eq(events(b)) || a.content == BarContent::Again
    }

    /// Makes the bar numbered `id`, the last, one that repeats the bar before it.
    pub fn repeat(&self, tune: &mut Tune, id: BarId) {
        let bar = &mut tune.bars[id.index()];
        let first = bar.events.start as usize;
        tune.notes
            .truncate(tune.events.get(first).map_or(tune.notes.len(), |event| event.notes.start as usize));
        tune.events.truncate(first);
        let at = first as u32;
        (bar.content, bar.events, bar.length) = (BarContent::Again, at..at, Duration::ZERO);
        tune.runs.retain(|run| run.bar != id);
        for label in tune.labels.iter_mut().filter(|label| label.bar == id) {
            label.onset = Moment::START;
        }
    }
}

fn is_in(run: &Run, at: Moment) -> bool {
    at >= run.start && at < run.start + run.slot.times(run.slots)
}

/// The tuplets of `sounds` that the hand takes in threes.
fn runs(bar: BarId, sounds: &[Placed<'_>]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let mut start: Option<Moment> = None;
    let heads = sounds.iter().map(|(sound, _)| sound).filter(|sound| !sound.chord && sound.actual.is_some());
    let has_brackets = heads.clone().any(|sound| sound.tuplet.0);
    for sound in heads {
        if start.is_none() && (sound.tuplet.0 || !has_brackets) {
            start = Some(sound.onset);
        }
        let Some(from) = start else { continue };
        let length = sound.end() - from;
        // Without brackets a tuplet ends where its notes come to a length of halves.
        let is_whole = (length.denominator() as u64).is_power_of_two();
        if if has_brackets { sound.tuplet.1 } else { is_whole } {
            start = None;
            let slots = sound.actual.unwrap_or(0);
            let slot = length.share(slots);
            let is_apart = runs.last().is_none_or(|last| last.start + last.slot.times(last.slots) <= from);
            if RUN_SIZES.contains(&slots) && slot.is_positive() && is_apart {
                runs.push(Run { bar, start: from, slot, slots });
            }
        }
    }
    runs
}

/// Gives grace notes a part of `unit`: of the note after them where the left hand goes on from them to it,
/// else of the note before.
fn take_graces(sounds: &mut Vec<Placed<'_>>, unit: Duration, hands: &mut Hands<'_>) {
    let share = unit.share(4);
    let mut at = 0;
    while at < sounds.len() {
        if !sounds[at].0.is_grace() {
            at += 1;
            continue;
        }
        let place = sounds[at].1;
        let graces = sounds[at..].iter().take_while(|(sound, _)| sound.is_grace()).count() as u32;
        let taken = share.times(graces);
        let next = at + graces as usize;
        let leads = sounds.get(next).filter(|(sound, _)| {
            (sound.slur.is_some() || sound.curve) && sound.length > taken && !sound.tied
        });
        let start = if leads.is_some() {
            let onset = sounds[next].0.onset;
            for (sound, _) in sounds[next..].iter_mut().filter(|(sound, _)| sound.onset == onset) {
                sound.onset += taken;
                sound.length = sound.length - taken;
            }
            Some(onset)
        } else {
            let onset = sounds[at].0.onset;
            let before =
                sounds[..at].iter_mut().rev().find(|(sound, _)| sound.end() == onset && sound.length > taken);
            before.map(|(sound, _)| {
                sound.length = sound.length - taken;
                sound.end()
            })
        };
        match start {
            Some(start) => {
                hands.say(place, "a grace note gets a quarter of a slot of the note it leans on");
                for (number, (sound, _)) in (0..).zip(&mut sounds[at..next]) {
                    (sound.onset, sound.length) = (start + share.times(number), share);
                }
                at = next;
            }
            None => {
                hands.say(place, "a grace note is left out: there is no note beside it to give it time");
                sounds.drain(at..next);
            }
        }
    }
}
