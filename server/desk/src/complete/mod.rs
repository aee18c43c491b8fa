//! What could stand at a cursor, the likeliest first.

mod header;
mod keep;
mod likely;
mod music;
mod names;
mod pitches;
mod rests;
mod slots;
mod standing;
#[cfg(test)]
mod testing;
mod values;
mod wake;
mod word;

use lope_syntax::Span;
use lope_tune::MelodyPart;

use crate::topic::Topic;
use crate::{Entry, Page, Reading};
use word::Where;

/// What could stand at a cursor.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Completions {
    /// The text they take the place of, in bytes from the start of its tune's text: the word under the cursor.
    pub span: Span,
    /// The likeliest first.
    pub items: Vec<Completion>,
    /// Whether they depend on how the word begins, so that they must be asked for again as it is typed.
    pub by_letter: bool,
    /// Whether they are worth showing when all that was typed is a blank.
    pub after_blank: bool,
}

/// Something that could stand there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// What sort of thing it is.
    pub kind: CompletionKind,
    /// What it is called.
    pub label: String,
    /// What it means here, in a few words.
    pub detail: String,
    /// The text to put in.
    pub text: String,
    /// The same with holes to fill in, for an editor that leads through them.
    pub template: Option<Vec<Piece>>,
    /// What there is to read about it.
    pub topic: Option<Topic>,
}

/// What a completion names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CompletionKind {
    /// A field.
    Field,
    /// What a field may say.
    Value,
    /// A part, ending or phrase to begin.
    Heading,
    /// The name of a part or phrase.
    Name,
    /// A token of music.
    Slot,
    /// A rule to keep a finding of.
    Rule,
}

/// A piece of a text to fill in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// It stands as it is.
    Text(String),
    /// It is to be typed over.
    Hole(String),
}

impl Page {
    /// What could stand at `offset`, in bytes from the start of the file; none where there is nothing to say.
    pub fn complete(&self, offset: usize) -> Option<(Entry<'_>, Completions)> {
        let entry = self.entry_at(offset)?;
        let completions = entry.reading.complete(u32::try_from(offset - entry.offset).ok()?);
        (!completions.items.is_empty()).then_some((entry, completions))
    }
}

impl Reading {
    /// What could stand at `at`.
    fn complete(&self, at: u32) -> Completions {
        let music = self.music();
        let (place, span) = word::at(&music, at);
        let typed = Span::new(span.start, at).of(music.text);
        let after_blank = matches!(place, Where::Value { .. } | Where::Heading(_) | Where::Keep { .. });
        let mut by_letter = false;
        let melody = self.melody_around(at);
        let items = match place {
            Where::LineStart { in_section, has_colon } => {
                let heads = header::items(&music, at, in_section, has_colon);
                if !in_section || has_colon {
                    heads
                } else {
                    by_letter = true;
                    let slots = self.slots_at(melody, span, typed);
                    // Below an empty line something new is likely to begin.
                    if follows_gap(music.text, span.start) { [heads, slots] } else { [slots, heads] }.concat()
                }
            }
            Where::Music => {
                by_letter = true;
                self.slots_at(melody, span, typed)
            }
            Where::Value { field, glued } => values::items(&music, field, span, glued),
            Where::Heading(word) => names::of_heading(&music, word, at),
            Where::Keep { comment, asks } => keep::items(self, comment, asks),
            Where::Nothing => Vec::new(),
        };
        Completions { span, items, by_letter, after_blank }
    }

    /// What could stand in music at `word`, of which `typed` stands before the cursor: pitches in a melody.
    fn slots_at(&self, melody: Option<&MelodyPart>, word: Span, typed: &str) -> Vec<Completion> {
        match melody {
            Some(melody) => pitches::items(self, melody, word),
            None => music::items(&self.music(), word, typed),
        }
    }
}

/// Whether the line above the one at `at` is empty.
fn follows_gap(text: &str, at: u32) -> bool {
    let before = Span::new(0, at).of(text).trim_end_matches([' ', '\t']);
    let line_end =
        |text: &str| ["\r\n", "\n", "\r"].iter().find_map(|end| text.strip_suffix(end).map(str::len));
    let above = line_end(before).map(|end| before[..end].trim_end_matches([' ', '\t']));
    above.is_some_and(|above| line_end(above).is_some())
}

impl Completion {
    /// One that puts in its own name.
    fn new(kind: CompletionKind, label: impl Into<String>, detail: impl Into<String>) -> Self {
        let label = label.into();
        Self { kind, text: label.clone(), label, detail: detail.into(), template: None, topic: None }
    }

    fn putting(self, text: impl Into<String>) -> Self {
        Self { text: text.into(), ..self }
    }

    fn about(self, topic: Topic) -> Self {
        Self { topic: Some(topic), ..self }
    }

    /// With a text to fill in: `pieces` are text and holes in turn.
    fn filled_in(self, pieces: &[&str]) -> Self {
        let piece = |(at, piece): (usize, &&str)| match at % 2 {
            0 => Piece::Text((*piece).to_owned()),
            _ => Piece::Hole((*piece).to_owned()),
        };
        Self { template: Some(pieces.iter().enumerate().map(piece).collect()), ..self }
    }
}
