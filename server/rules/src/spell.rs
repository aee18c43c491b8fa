//! How notes are written, for mends that write them anew.

use lope_syntax::Span;
use lope_tune::{How, NoteId};

use crate::{Edit, Mend, Music};

/// The token of `note` without the marks after its fret.
fn head(music: &Music, note: NoteId) -> Span {
    let span = music.note_span(note);
    let end = span.of(music.text).find(['!', '~', '^', '/']).map_or(span.end, |at| span.start + at as u32);
    Span::new(span.start, end)
}

/// Whether `note` is a slur that names no string, and so depends on the note fingered before it.
pub fn is_unnamed(music: &Music, note: NoteId) -> bool {
    music.note(note).how.is_slur() && !head(music, note).of(music.text).contains(':')
}

/// Writes `note` anew, with its marks and holds left as they are; but moved to another place it loses the
/// left-hand finger that was written for the old one. A slur leaves out its string where `string` is none.
pub fn respell(music: &Music, note: NoteId, how: How, string: Option<u8>, fret: u8) -> Edit {
    let place = match (how, string) {
        (How::Thumb, Some(5)) if fret == 0 => String::new(),
        (_, Some(string)) => format!("{string}:{fret}"),
        (_, None) => fret.to_string(),
    };
    let letter = match how {
        How::Strike => "",
        How::Thumb => "t",
        How::Hammer => "h",
        How::Pull => "p",
        How::Slide => "s",
    };
    let written = music.note(note);
    if written.marks.finger.is_none()
        || (string.unwrap_or(written.string), fret) == (written.string, written.fret)
    {
        return Edit::replace(head(music, note), format!("{letter}{place}"));
    }
    let marks = Span::new(head(music, note).end, music.note_span(note).end);
    let kept: String = marks.of(music.text).chars().filter(|mark| matches!(mark, '!' | '~' | '^')).collect();
    Edit::replace(music.note_span(note), format!("{letter}{place}{kept}"))
}

/// Strikes `note` where it is: the same string at the same fret. None where it has no string or fret to
/// strike.
pub fn strike(music: &Music, note: NoteId) -> Option<Mend> {
    let written = music.note(note);
    let exists = matches!(written.string, 1..=5) && written.fret < u8::MAX;
    exists.then(|| {
        let title = format!("strike {}", string_at(written.string, written.fret));
        Mend::safe(title, vec![respell(music, note, How::Strike, Some(written.string), written.fret)])
    })
}

/// `string 1 at fret 4`, `string 1 open`.
pub fn string_at(string: u8, fret: u8) -> String {
    if fret == 0 { format!("string {string} open") } else { format!("string {string} at fret {fret}") }
}

/// What a note is called: `a hammer-on`.
pub const fn name(how: How) -> &'static str {
    match how {
        How::Strike => "a strike",
        How::Thumb => "a thumb note",
        How::Hammer => "a hammer-on",
        How::Pull => "a pull-off",
        How::Slide => "a slide",
    }
}
