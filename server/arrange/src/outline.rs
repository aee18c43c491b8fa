//! The melody in tab.
//!
//! Every event with notes sings one of them, except a drone that the thumb sounds as the hand rises: that is
//! accompaniment, and the note before it goes on. Of a brush the highest long string sings. Common practice.

use lope_tune::{BarId, EventId, EventKind, How, Moment, Note, NoteId, Pitch, Tune};

/// A note of the melody as it is written in tab.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sung {
    /// Its bar.
    pub bar: BarId,
    /// When it begins, from the start of the bar's slots.
    pub onset: Moment,
    /// The event it is part of.
    pub event: EventId,
    /// The note.
    pub note: NoteId,
    /// What it sounds.
    pub pitch: Pitch,
}

/// The melody of `bar`, in order.
pub fn outline(tune: &Tune, bar: BarId) -> Vec<Sung> {
    let events = tune.bars[bar.index()].events.clone().map(EventId);
    let sung = events.filter_map(|event| {
        let written = &tune.events[event.index()];
        let (note, pitch) = sings(tune, event)?;
        Some(Sung { bar, onset: written.onset, event, note, pitch })
    });
    sung.collect()
}

/// Whether a player's thumb sounds `notes`, the open drone alone.
pub fn is_drone(notes: &[Note]) -> bool {
    matches!(notes, [Note { string: 5, fret: 0, how: How::Thumb, .. }])
}

fn sings(tune: &Tune, event: EventId) -> Option<(NoteId, Pitch)> {
    let written = &tune.events[event.index()];
    if written.kind != EventKind::Notes || is_drone(tune.notes_of(written)) {
        return None;
    }
    let header = &tune.header;
    let notes = written.notes.clone().map(NoteId).filter_map(|id| {
        let note = &tune.notes[id.index()];
        Some((id, note, header.tuning.sounds(note.string, note.fret, header.capo)?))
    });
    // Of two strings at one pitch the one listed first.
    let notes: Vec<(NoteId, &Note, Pitch)> = notes.collect();
    let long = notes.iter().any(|(_, note, _)| note.string < 5);
    let singing = notes.iter().rev().filter(|(_, note, _)| !long || note.string < 5);
    singing.max_by_key(|(_, _, pitch)| *pitch).map(|(id, _, pitch)| (*id, *pitch))
}
