//! What is wrong with text that is not notation, and what to write instead.

use lope_syntax::{Fault, FaultKind, Span, nearest, parse};
use lope_tune::FIELDS;

use crate::Music;
use crate::book::quote;

/// What is wrong at `fault`, and what to write instead.
pub fn complaint(music: &Music, fault: Fault) -> String {
    let text = fault.span.of(music.text);
    let quoted = quote(text);
    match fault.kind {
        FaultKind::Unknown => unknown(music, fault.span),
        FaultKind::NoFret => no_fret(text),
        FaultKind::SlurWithoutFret => slur_without_fret(text),
        FaultKind::OpenBrace => {
            "this brace is not closed before the bar line; write `}` after its last slot".to_owned()
        }
        FaultKind::OpenBrush => {
            "this brush is not closed before the bar line; write `]` after its last note".to_owned()
        }
        FaultKind::StrayClose => {
            format!("{quoted} closes nothing; take it out, or open it with `{}`", opening(text))
        }
        FaultKind::Empty => format!("there is nothing in {quoted}; write slots in it, or take it out"),
        FaultKind::OpenWords => {
            "these words are not closed on their line; write a `\"` after the last of them".to_owned()
        }
        FaultKind::OpenChord => {
            "this chord symbol is not closed; write a `>` after it, as in `<G7>`".to_owned()
        }
        FaultKind::NotInBrush => {
            format!("{quoted} cannot be in a brush; brackets hold notes that sound at once, and nothing else")
        }
        FaultKind::TooDeep => "braces in braces go too deep here; write at most eight of them".to_owned(),
        FaultKind::StrayMark
            if text.starts_with(['/']) && text[1..].starts_with(|c: char| c.is_ascii_digit()) =>
        {
            format!("{quoted} touches no brace; write it straight after one, as in `{{1:2 p0 2:1}}/2`")
        }
        FaultKind::StrayMark => {
            format!("{quoted} touches no note; write it straight after the fret, as in `1:2{text}`")
        }
        FaultKind::BadHeading => bad_heading(text),
        FaultKind::EndingOutsidePart => {
            "this ending belongs to no part; write `part A` and its bars above it".to_owned()
        }
        FaultKind::MusicOutsidePart => outside_part(music, fault.span),
        FaultKind::NotAlone if text == "%" => {
            "`%` stands for a whole bar; give it a bar of its own".to_owned()
        }
        FaultKind::NotAlone => {
            format!("{quoted} stands for whole bars; set it off from the slots beside it with `|`")
        }
    }
}

/// What a line most likely was to begin with.
#[derive(Debug, PartialEq)]
pub enum LineWord {
    /// `part`, `phrase`, `ending` or `melody`, misspelt.
    Heading(&'static str),
    /// A field that lacks its colon.
    Field(&'static str),
}

/// What the line that `span` begins was most likely to begin with, and the word there; none where `span`
/// does not begin its line or its first word is like none of those.
pub fn line_word(music: &Music, span: Span) -> Option<(Span, LineWord)> {
    let before = music.text[..span.start as usize].trim_end_matches([' ', '\t']);
    if !(before.is_empty() || before.ends_with(['\n', '\r'])) {
        return None;
    }
    let rest = &music.text[span.start as usize..];
    let len = rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(rest.len());
    let word = rest[..len].to_ascii_lowercase();
    let place = Span::new(span.start, span.start + len as u32);
    if let Some(field) = FIELDS.into_iter().find(|field| *field == word) {
        return Some((place, LineWord::Field(field)));
    }
    // Three letters are near to nearly everything.
    let heading = nearest(&word, ["part", "phrase", "ending", "melody"]).filter(|_| word.len() > 3)?;
    Some((place, LineWord::Heading(heading)))
}

/// The note that `text` is when it is written small and with a colon between string and fret.
pub fn near_note(text: &str) -> Option<String> {
    let note = text.to_ascii_lowercase().replace([';', '.', ','], ":");
    let is_note = || parse(&format!("part A\n{note}")).faults().is_empty();
    (note != text && !text.contains([' ', '\t', '\r', '\n']) && is_note()).then_some(note)
}

fn unknown(music: &Music, span: Span) -> String {
    let text = span.of(music.text);
    let quoted = quote(text);
    if let Some((_, word)) = line_word(music, span) {
        return meant(&quoted, &word);
    }
    if let Some(note) = near_note(text) {
        return format!("{quoted} is no notation; the nearest note is `{note}`");
    }
    if text.starts_with(|c: char| c.is_ascii_digit()) {
        return format!("{quoted} is no notation; a note is its string, a colon and its fret, as in `1:2`");
    }
    format!("{quoted} is no notation; words go in quotes, as in `\"slowly\"`, or after a `#`")
}

fn meant(quoted: &str, word: &LineWord) -> String {
    match word {
        LineWord::Heading(heading) => format!("{quoted} is no notation; the nearest word is `{heading}`"),
        LineWord::Field(field) => format!("{quoted} is no notation; a field has a colon, as in `{field}: …`"),
    }
}

fn no_fret(text: &str) -> String {
    let quoted = quote(text);
    let string = text.trim_start_matches('t').trim_end_matches(':');
    if text.starts_with('t') {
        format!("{quoted} has no fret; write it as in `t{string}:0`, or `t` alone for the drone")
    } else if text.ends_with(':') {
        format!("{quoted} has no fret; write it after the colon, as in `{string}:0`")
    } else {
        format!("{quoted} is half a note; write the string, a colon and the fret, as in `{string}:0`")
    }
}

fn slur_without_fret(text: &str) -> String {
    let what = match text.as_bytes() {
        [b'h', ..] => "hammer-on",
        [b'p', ..] => "pull-off",
        _ => "slide",
    };
    format!("this {what} has no fret; write where it goes, as in `{text}2`")
}

fn opening(text: &str) -> char {
    if text == "]" { '[' } else { '{' }
}

fn bad_heading(text: &str) -> String {
    let quoted = quote(text);
    match text.split([' ', '\t']).next().unwrap_or_default() {
        "ending" => {
            format!("{quoted} is no heading; write when it is played, as in `ending 1` or `ending 1,2`")
        }
        "phrase" => format!("{quoted} is no heading; write one word as its name, as in `phrase stair`"),
        "melody" => format!("{quoted} is no heading; write one word as its name, as in `melody A`"),
        _ => format!(
            "{quoted} is no heading; write one word as its name and how often it is played, as in `part A x2`"
        ),
    }
}

fn outside_part(music: &Music, span: Span) -> String {
    match line_word(music, span) {
        Some((place, word)) => meant(&quote(place.of(music.text)), &word),
        None => "this music belongs to no part; write `part A` on a line above it".to_owned(),
    }
}
