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
    let after = Span::new(head(music, note).end, music.text.len() as u32).of(music.text);
    let makes_field = after.trim_start_matches([' ', '\t']).starts_with(':');
    let place = match (how, string) {
        // `t` before a colon, were it the first of its line, would be the name of a field.
        (How::Thumb, Some(5)) if fret == 0 && !makes_field => String::new(),
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
    let stays = (string.unwrap_or(written.string), fret) == (written.string, written.fret);
    let span =
        if stays || written.marks.finger.is_none() { head(music, note) } else { music.note_span(note) };
    let marks = Span::new(head(music, note).end, span.end).of(music.text);
    let kept: String = marks.chars().filter(|mark| matches!(mark, '!' | '~' | '^')).collect();
    Edit::replace(span, apart(music.text, span, format!("{letter}{place}{kept}")))
}

/// Writes `note` where it sounds at `fret` of `string`: a slur that names no string still names none.
pub fn respell_at(music: &Music, note: NoteId, string: u8, fret: u8) -> Edit {
    let named = (!is_unnamed(music, note)).then_some(string);
    respell(music, note, music.note(note).how, named, fret)
}

/// `word`, to stand at `span`, with blanks where it would run into what touches it there: text that is no
/// notation, and must not become any.
fn apart(text: &str, span: Span, word: String) -> String {
    let (before, after) =
        (Span::new(0, span.start).of(text), Span::new(span.end, text.len() as u32).of(text));
    let runs_in = |letter: Option<char>| letter.is_some_and(|l| l.is_ascii_alphanumeric() || l == ':');
    let (left, right) = (runs_in(before.chars().next_back()), runs_in(after.chars().next()));
    format!("{}{word}{}", if left { " " } else { "" }, if right { " " } else { "" })
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

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[track_caller]
    fn check(rule: &str, music: &str, expected: &str) {
        assert_eq!(Piece::jig(music).first_mends(rule)[0].1, expected);
    }

    #[test]
    fn a_note_does_not_run_into_what_touches_it() {
        check("off-strike", "| 2:0 - 1t  1:0 t 1:0 |", "| 2:0 - 1 1:5  1:0 t 1:0 |");
        check("extra-strike", "| 1:0 1:2:3 1:0  1:0 t 1:0 |", "| 1:0 h2 :3 1:0  1:0 t 1:0 |");
    }

    #[test]
    fn a_drone_before_a_colon_does_not_become_a_field() {
        check("extra-strike", "| 1:0\n5:0 :\n1:0  1:0 t 1:0 |", "| 1:0\nt5:0 :\n1:0  1:0 t 1:0 |");
    }

    #[test]
    fn a_note_that_moves_loses_its_finger_and_keeps_its_other_marks() {
        check("hard-reach", "| [2:1/i! 1:5]- -  1:0 t 1:0 |", "| [3:5! 1:5]- -  1:0 t 1:0 |");
    }
}
