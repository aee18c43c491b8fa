use lope_syntax::Span;

use crate::{BarContent, BarId, Duration, EventId, EventKind, Melody, MelodyNote, Note, Pitch, Source, Tune};

/// A melody written in a tune's text, under `melody NAME`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MelodyPart {
    /// Its bars in a part of its name, with its endings; the header is its tune's. Its events sound, but only
    /// those have a note of which somebody has said how they are played.
    pub tune: Tune,
    /// Where each piece of it was written.
    pub source: Source,
    /// For each of the tune's events without a note: what it sounds. It may be shorter where no more of them sound.
    pub pitches: Vec<Option<Pitch>>,
}

impl MelodyPart {
    /// Its name.
    pub fn name(&self) -> &str {
        self.tune.sections.first().map_or("", |section| section.name.as_str())
    }

    /// From its heading to its last token.
    pub fn whole(&self) -> Span {
        self.source.sections.first().map(|place| place.whole).unwrap_or_default()
    }

    /// Its heading.
    pub fn heading(&self) -> Span {
        self.source.sections.first().map(|place| place.heading).unwrap_or_default()
    }

    /// The melody. A bar that repeats the one before it holds what that holds.
    pub fn melody(&self) -> Melody {
        let mut tune = Tune { events: Vec::new(), notes: Vec::new(), runs: Vec::new(), ..self.tune.clone() };
        let mut notes: Vec<MelodyNote> = Vec::new();
        for at in 0..tune.bars.len() {
            let id = BarId(at as u32);
            if tune.bars[at].content == BarContent::Again && at > 0 {
                let before = BarId(id.0 - 1);
                let again: Vec<MelodyNote> = notes
                    .iter()
                    .filter(|note| note.bar == before)
                    .map(|note| MelodyNote { bar: id, ..*note })
                    .collect();
                notes.extend(again);
                tune.bars[at].length = tune.bars[at - 1].length;
            } else {
                self.bar(id, &mut notes);
            }
            tune.bars[at].content = BarContent::Slots;
            tune.bars[at].events = 0..0;
        }
        Melody { tune, key: None, notes }
    }

    /// Adds the notes of `bar` to `notes`.
    fn bar(&self, bar: BarId, notes: &mut Vec<MelodyNote>) {
        let events = self.tune.bars[bar.index()].events.clone();
        for id in events.map(EventId) {
            let event = &self.tune.events[id.index()];
            let (pitch, tied) = match event.kind {
                EventKind::Notes => (self.pitch(id), false),
                // What sounded at the end of the bar before goes on.
                EventKind::Ring => (notes.last().map(|last| last.pitch), true),
                EventKind::Silence => (None, false),
            };
            let Some(pitch) = pitch.filter(|_| event.length > Duration::ZERO) else { continue };
            notes.push(MelodyNote {
                bar,
                onset: event.onset,
                length: event.length,
                pitch,
                tied,
                grace: false,
                fixed: self.settled(id),
            });
        }
    }

    /// How `event` is played, where somebody has said so.
    pub fn settled(&self, event: EventId) -> Option<Note> {
        self.tune.notes_of(&self.tune.events[event.index()]).first().copied()
    }

    /// What `event` sounds, where it begins to sound something.
    pub fn pitch(&self, event: EventId) -> Option<Pitch> {
        let header = &self.tune.header;
        match self.settled(event) {
            Some(note) => header.tuning.sounds(note.string, note.fret, header.capo),
            None => self.pitches.get(event.index()).copied().flatten(),
        }
    }
}
