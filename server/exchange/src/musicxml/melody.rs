//! A score's melody.

use lope_tune::{Melody, MelodyNote, Pitch};

use super::document::{self, header};
use super::measure::Measure;
use super::measures::{Reader, Wanted};
use super::skeleton::Skeleton;
use crate::remark::gathered;
use crate::tab::Sound;
use crate::{Place, Read, ReadError, Remark};

/// Reads the melody of a MusicXML file, compressed or not: of its first part that has notes, the first
/// voice.
///
/// # Errors
/// When it is not partwise MusicXML, or has no notes.
pub fn read(bytes: &[u8]) -> Result<Read, ReadError> {
    document::with(bytes, |root| {
        let (part, mut remarks) = document::part(root, |_| true)?;
        let measures = Reader::new(Wanted::Voice(None), &mut remarks).measures(part);
        let Skeleton { tune, key, placed, .. } = Skeleton::of(&measures, &mut remarks);
        let mut melody = Melody { tune, key, notes: Vec::new() };
        melody.tune.header = header(root);
        for place in placed {
            let Measure { notes, place: at, .. } = &measures[place.measure];
            let notes = one_at_a_time(&highest(notes, at, &mut remarks));
            melody.notes.extend(notes.into_iter().map(|(sound, pitch)| MelodyNote {
                bar: place.bar,
                onset: sound.onset + place.after,
                length: sound.length,
                pitch,
                tied: sound.tied,
                grace: sound.is_grace(),
                fixed: None,
            }));
        }
        Ok(Read { melody, remarks: gathered(remarks) })
    })
}

/// Of notes struck together the highest, with its pitch; rests are left out.
fn highest(sounds: &[Sound], at: &Place, remarks: &mut Vec<Remark>) -> Vec<(Sound, Pitch)> {
    let mut notes: Vec<(Sound, Pitch)> = Vec::new();
    let text = "of notes struck together the highest is taken for the melody";
    let remark = Remark { place: Some(at.clone()), text: text.to_owned() };
    for sound in sounds {
        let Some(pitch) = sound.pitch else { continue };
        match notes.last_mut() {
            Some((_, last)) if sound.chord => {
                *last = pitch.max(*last);
                if remarks.last() != Some(&remark) {
                    remarks.push(remark.clone());
                }
            }
            _ => notes.push((sound.clone(), pitch)),
        }
    }
    notes
}

/// `notes` in their order, none sounding longer than until the next.
fn one_at_a_time(notes: &[(Sound, Pitch)]) -> Vec<(Sound, Pitch)> {
    let mut ordered = notes.to_vec();
    ordered.sort_by_key(|(note, _)| note.onset);
    for at in 1..ordered.len() {
        let next = ordered[at].0.onset;
        if let Some((before, _)) = ordered.get_mut(at - 1).filter(|(before, _)| !before.is_grace()) {
            before.length = before.length.min(next - before.onset);
        }
    }
    ordered
}
