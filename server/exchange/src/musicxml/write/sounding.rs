//! What sounds in each measure, with the ties and slurs that lead from note to note.

use std::collections::HashMap;

use lope_tune::{Event, EventKind, How, Note, Tune};

use super::layout::Measure;

/// An event of a measure as it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct Sounding<'t> {
    /// The event.
    pub event: &'t Event,
    /// Its notes; those that ring on, where it is no new sound.
    pub notes: Vec<Struck>,
    /// Whether they go on from the event before.
    pub tied: bool,
    /// Whether they go on in the next measure.
    pub rings_on: bool,
}

/// A note with what leads on from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Struck {
    /// The note.
    pub note: Note,
    /// The slurs that start from it: what they are, and the string they sound.
    pub leads: Vec<(How, u8)>,
}

/// The place of a note: measure, event, note.
type Place = (usize, usize, usize);

/// What a measure leaves to the next.
#[derive(Clone, Debug, Default)]
struct Left {
    /// The event that may ring on.
    ringing: Option<(usize, usize)>,
    /// The note last sounded on each string.
    on_string: HashMap<u8, Place>,
    /// The note last fingered.
    fingered: Option<Place>,
}

/// What sounds in each of `measures` of `tune`.
pub fn soundings<'t>(tune: &'t Tune, measures: &[Measure]) -> Vec<Vec<Sounding<'t>>> {
    let mut all: Vec<Vec<Sounding<'t>>> = Vec::with_capacity(measures.len());
    // What each measure that an ending follows leaves behind.
    let mut kept: HashMap<usize, Left> = HashMap::new();
    let mut left = Left::default();
    for (at, measure) in measures.iter().enumerate() {
        if let Some(after) = measure.after {
            left = kept.get(&after).cloned().unwrap_or_default();
        }
        all.push(Vec::new());
        for event in tune.events_of(&tune.bars[measure.bar.index()]) {
            let sounding = left.sound(tune, event, at, &mut all);
            all[at].push(sounding);
        }
        if measures.iter().any(|other| other.after == Some(at)) {
            kept.insert(at, left.clone());
        }
    }
    all
}

impl Left {
    fn sound<'t>(
        &mut self,
        tune: &'t Tune,
        event: &'t Event,
        measure: usize,
        all: &mut [Vec<Sounding<'t>>],
    ) -> Sounding<'t> {
        let place = (measure, all[measure].len());
        let (mut notes, tied) = match event.kind {
            EventKind::Silence => (Vec::new(), false),
            EventKind::Notes => (tune.notes_of(event).to_vec(), false),
            EventKind::Ring => match self.ringing {
                Some((measure, event)) => {
                    all[measure][event].rings_on = true;
                    (all[measure][event].notes.iter().map(|struck| struck.note).collect(), true)
                }
                None => (Vec::new(), false),
            },
        };
        notes.retain(|note| tune.header.tuning.sounds(note.string, note.fret, tune.header.capo).is_some());
        if !tied {
            for note in notes.iter().filter(|note| note.how.is_slur()) {
                let from =
                    if note.alternate { self.fingered } else { self.on_string.get(&note.string).copied() };
                if let Some((measure, event, at)) = from {
                    all[measure][event].notes[at].leads.push((note.how, note.string));
                }
            }
        }
        if notes.is_empty() {
            (self.ringing, self.on_string) = (None, HashMap::new());
        } else {
            self.ringing = Some(place);
        }
        for (at, note) in notes.iter().enumerate() {
            let at = (place.0, place.1, at);
            self.on_string.insert(note.string, at);
            if note.string < 5 {
                self.fingered = Some(at);
            }
        }
        let notes = notes.into_iter().map(|note| Struck { note, leads: Vec::new() }).collect();
        Sounding { event, notes, tied, rings_on: false }
    }
}
