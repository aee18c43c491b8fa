//! What can stand in a melody: the key's pitches around the one before, holds, silences and bar lines.

use lope_syntax::Span;
use lope_tune::{MelodyPart, Pitch};

use super::{Completion, CompletionKind};
use crate::Reading;
use crate::scale::Scale;

/// How far from the pitch before one is offered, in semitones: an octave.
const FAR: u8 = 12;
/// The pitch that the first ones are around: A4, in the middle of the neck.
const MIDDLE: Pitch = Pitch(69);

/// What can stand at `word` of `melody`, the nearest first.
pub fn items(reading: &Reading, melody: &MelodyPart, word: Span) -> Vec<Completion> {
    let scale = Scale::of(reading.tune());
    let done = melody.source.slots.partition_point(|slot| slot.span.end <= word.start);
    let sounded = melody.source.slots[..done].iter().rev();
    let near = sounded.filter_map(|slot| melody.pitch(slot.event)).next().unwrap_or(MIDDLE);
    let mut pitches: Vec<Pitch> = (near.0.saturating_sub(FAR)..=near.0.saturating_add(FAR).min(127))
        .map(Pitch)
        .filter(|pitch| scale.has(*pitch))
        .collect();
    pitches.sort_by_key(|pitch| (pitch.0.abs_diff(near.0), *pitch));
    let item = |label: String, detail: &str| Completion::new(CompletionKind::Slot, label, detail);
    let pitches = pitches.into_iter().map(|pitch| {
        let home = if scale.is_home(pitch) { "home" } else { "of the key" };
        item(scale.pitch_name(pitch).to_lowercase(), home)
    });
    let others = [("-", "the note before rings on"), ("_", "silence"), ("|", "the bar ends")];
    pitches.chain(others.map(|(label, detail)| item(label.to_owned(), detail))).collect()
}

impl Reading {
    /// The melody in which text at `at` stands, whether or not there is any yet.
    pub(crate) fn melody_around(&self, at: u32) -> Option<&MelodyPart> {
        let written = self.written();
        let melody = written.melodies.iter().rev().find(|melody| melody.heading().end < at)?;
        let sections = &written.source.sections;
        let is_between = |heading: Span| melody.heading().end < heading.start && heading.start < at;
        (!sections.iter().any(|place| is_between(place.heading))).then_some(melody)
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::labels;

    #[test]
    fn the_keys_pitches_come_nearest_first() {
        let found = labels("tune: T\nmeter: 6/8\ntuning: gDGBD\n\nmelody A\n| g4- $0");
        assert_eq!(found[..5], ["g4", "f#4", "a4", "e4", "b4"]);
        assert_eq!(found[found.len() - 3..], ["-", "_", "|"]);
        let tab = labels("tune: T\nmeter: 6/8\n\nmelody A\n| g4 |\n\npart A\n| $0");
        assert!(tab.iter().all(|label| label != "g4"), "{tab:?}");
    }
}
