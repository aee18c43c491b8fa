//! A note sounded by the left hand from the one before it.

use lope_syntax::Span;
use lope_tune::{How, Note, NoteId};

use crate::fingered::last_before;
use crate::spell::respell;
use crate::{Mend, Music};

/// The slurs that sound `note` from fret `sounded`, at which its string still rings: none where nothing
/// does, or where another string was fingered since.
pub fn slur_to(music: &Music, note: NoteId, sounded: Option<u8>) -> Vec<Mend> {
    let Note { string, fret, .. } = *music.note(note);
    let origin = last_before(music, note).filter(|origin| music.note(*origin).string == string);
    let (Some(from), Some(origin)) = (sounded, origin) else { return Vec::new() };
    // What is fingered and sounds by then depends on all from there to here.
    let way = Span::new(music.note_span(origin).start, music.note_span(note).start);
    let slur = |how: How, words: &str| {
        let edit = respell(music, note, how, None, fret);
        Mend::safe(format!("{words} {fret}"), vec![edit]).resting_on(way)
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
