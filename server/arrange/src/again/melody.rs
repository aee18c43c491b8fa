use std::ops::Range;

use lope_tune::{BarId, EventKind, Melody, MelodyNote, Note, NoteId, Place, Tune};

use crate::outline::{Sung, outline};
use crate::steps::Step;
use crate::ways::Way;

/// The melody of some bars of tab and of those beside them, and how it is written.
pub struct Written<'t> {
    pub melody: Melody,
    tune: &'t Tune,
    /// For each of the melody's notes, the note that sings it.
    notes: Vec<NoteId>,
}

/// The melody of `bars`, of the bar before and the bar after in their section.
pub fn written<'t>(tune: &'t Tune, bars: &Range<u32>) -> Written<'t> {
    let section = tune.sections.iter().find(|section| section.bars.contains(&bars.start));
    let around = section.map_or(bars.clone(), |section| section.bars.clone());
    let bare = Tune { events: Vec::new(), notes: Vec::new(), ..tune.clone() };
    let mut written =
        Written { melody: Melody { tune: bare, key: None, notes: Vec::new() }, tune, notes: Vec::new() };
    for bar in bars.start.saturating_sub(1).max(around.start)..(bars.end + 1).min(around.end) {
        written.bar(BarId(bar));
    }
    written
}

impl Written<'_> {
    fn bar(&mut self, bar: BarId) {
        let tune = self.tune;
        let sung = outline(tune, bar);
        for (id, event) in tune.bars[bar.index()].events.clone().zip(tune.events_of(&tune.bars[bar.index()]))
        {
            let end = event.onset + event.length;
            let last = self.melody.notes.last().copied();
            match sung.iter().find(|sung| sung.event.0 == id) {
                Some(Sung { note, onset, pitch, .. }) => {
                    self.push(
                        *note,
                        MelodyNote {
                            bar,
                            onset: *onset,
                            length: event.length,
                            pitch: *pitch,
                            tied: false,
                            grace: false,
                            fixed: None,
                        },
                    );
                }
                None if event.kind == EventKind::Silence => {}
                // The drone, or what rings on: the note before goes on.
                None => match last {
                    Some(last) if last.bar == bar => {
                        if let Some(note) = self.melody.notes.last_mut() {
                            note.length = end - note.onset;
                        }
                    }
                    Some(last) => {
                        let note = self.notes[self.notes.len() - 1];
                        self.push(
                            note,
                            MelodyNote { bar, onset: event.onset, length: event.length, tied: true, ..last },
                        );
                    }
                    None => {}
                },
            }
        }
    }

    fn push(&mut self, id: NoteId, note: MelodyNote) {
        self.melody.notes.push(note);
        self.notes.push(id);
    }

    /// How `step` is written.
    pub fn note(&self, step: &Step) -> Note {
        self.tune.notes[self.notes[step.note].index()]
    }

    /// `step`, to be played as it is written.
    pub fn fixed(&self, step: &Step) -> Step {
        Step { fixed: Some(self.note(step)), ..*step }
    }

    /// Whether `step` is to stay as it is: one of several notes, or with its finger written.
    pub fn stays(&self, step: &Step) -> bool {
        let id = self.notes[step.note];
        let events = &self.tune.events;
        let event = events.get(events.partition_point(|event| event.notes.end <= id.0));
        event.is_some_and(|event| event.notes.len() > 1) || self.note(step).marks.finger.is_some()
    }

    /// What `ways` change of how `steps` are written.
    pub fn changes(&self, steps: &[Step], ways: &[Way]) -> Vec<(NoteId, Place)> {
        let changes = steps.iter().zip(ways).filter_map(|(step, way)| {
            let Way::Play { string, fret, how, .. } = *way else { return None };
            let place = Place { string, fret, how };
            (place != self.note(step).into()).then_some((self.notes[step.note], place))
        });
        changes.collect()
    }
}
