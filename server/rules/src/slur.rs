//! A note sounded by the left hand from the one before it.

use lope_tune::{How, Note, NoteId};

use crate::fingered::last_before;
use crate::spell::respell;
use crate::{Mend, Music};

/// The slurs that sound `note` from fret `sounded`, at which its string still rings: none where nothing
/// does, or where another string was fingered since.
pub fn slur_to(music: &Music, note: NoteId, sounded: Option<u8>) -> Vec<Mend> {
    let Note { string, fret, .. } = *music.note(note);
    let Some(from) = sounded.filter(|_| last_before(music, note) == Some(string)) else { return Vec::new() };
    let slur = |how: How, words: &str| {
        Mend::safe(format!("{words} {fret}"), vec![respell(music, note, how, None, fret)])
    };
    let slide = || slur(How::Slide, "slide to fret");
    match (from, fret) {
        (_, u8::MAX) => Vec::new(),
        (_, 0) if from > 0 => {
            vec![Mend { title: "pull off to the open string".into(), ..slur(How::Pull, "") }]
        }
        (0, _) if fret > 0 => vec![slur(How::Hammer, "hammer on to fret")],
        _ if fret > from => vec![slur(How::Hammer, "hammer on to fret"), slide()],
        _ if fret < from => vec![slur(How::Pull, "pull off to fret"), slide()],
        _ => Vec::new(),
    }
}
