use std::collections::BTreeMap;

use lope_syntax::Span;

use crate::{Finding, Music};

/// A repair offered for a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mend {
    /// What it does, as a command: `strike string 1 at fret 4`.
    pub title: String,
    /// Whether it keeps every pitch and every onset; only then is it applied in bulk.
    pub safe: bool,
    /// The changes, in order, not overlapping.
    pub edits: Vec<Edit>,
    /// Text that has to stay as it is for the changes to mean what they should.
    pub rests_on: Option<Span>,
}

impl Mend {
    /// A mend that keeps every pitch and every onset.
    pub fn safe(title: impl Into<String>, edits: Vec<Edit>) -> Self {
        Self { title: title.into(), safe: true, edits, rests_on: None }
    }

    /// A mend that changes what is heard.
    pub fn risky(title: impl Into<String>, edits: Vec<Edit>) -> Self {
        Self { safe: false, ..Self::safe(title, edits) }
    }

    /// The same, made only where `span` stays as it is.
    pub fn resting_on(self, span: Span) -> Self {
        Self { rests_on: Some(span), ..self }
    }
}

/// A change to a tune's text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The bytes to take out.
    pub span: Span,
    /// What to put there.
    pub text: String,
}

impl Edit {
    /// Puts `text` in the place of what `span` covers.
    pub fn replace(span: Span, text: impl Into<String>) -> Self {
        Self { span, text: text.into() }
    }

    /// Puts `text` before the byte at `at`.
    pub fn insert(at: u32, text: impl Into<String>) -> Self {
        Self::replace(Span::empty(at), text)
    }
}

/// The ways to put `finding` right, the best first. None is safe where it would part a row of letters and
/// digits: a note stands there with text that cannot be read, and that may mean something on its own.
pub fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let mut mends = (finding.rule.rule().mends)(music, finding);
    for mend in &mut mends {
        mend.safe &= !mend.edits.iter().any(|edit| parts_a_word(music.text, edit.span));
    }
    mends
}

/// Whether `span` starts or ends within a row of letters, digits and colons.
fn parts_a_word(text: &str, span: Span) -> bool {
    let is_word =
        |at: usize| text.as_bytes().get(at).is_some_and(|b| b.is_ascii_alphanumeric() || *b == b':');
    let parts = |at: u32| at > 0 && is_word(at as usize - 1) && is_word(at as usize);
    parts(span.start) || parts(span.end)
}

/// Mends made together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mending {
    /// Their changes, in order, not overlapping.
    pub edits: Vec<Edit>,
    /// How many mends they are.
    pub mends: usize,
}

/// Puts right all of `findings` that can be without changing the music. Where two want the same text, or
/// one changes what another rests on, the first in the file wins; reading and checking again after the
/// edits finds what is left.
pub fn mend_all(music: &Music, findings: &[Finding]) -> Mending {
    // What is changed, with what stands there then, and what has to stay, with nothing.
    let mut taken: BTreeMap<Span, Option<String>> = BTreeMap::new();
    let mut count = 0;
    for finding in findings {
        let Some(mend) = mends(music, finding).into_iter().find(|mend| mend.safe) else { continue };
        // What is taken does not overlap, so only the neighbours on either side can be in the way.
        let clashes = |wanted: Span| {
            let before = taken.range(..=wanted).next_back();
            let after = taken.range(wanted..).next();
            before.into_iter().chain(after).any(|(span, _)| span.overlaps(wanted))
        };
        if !mend.edits.iter().map(|edit| edit.span).chain(mend.rests_on).any(clashes) {
            count += 1;
            taken.extend(mend.rests_on.map(|span| (span, None)));
            taken.extend(mend.edits.into_iter().map(|edit| (edit.span, Some(edit.text))));
        }
    }
    let edits = taken.into_iter().filter_map(|(span, text)| Some(Edit { span, text: text? })).collect();
    Mending { edits, mends: count }
}

/// `text` with `edits` made, which must be in order and not overlap; one that does not fit is left out.
pub fn apply(text: &str, edits: &[Edit]) -> String {
    let mut mended =
        String::with_capacity(text.len() + edits.iter().map(|edit| edit.text.len()).sum::<usize>());
    let mut done = 0;
    for edit in edits {
        let Some(kept) = text.get(done..edit.span.start as usize) else { continue };
        mended.push_str(kept);
        mended.push_str(&edit.text);
        done = edit.span.end as usize;
    }
    mended.push_str(text.get(done..).unwrap_or_default());
    mended
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check;
    use crate::testing::Piece;

    #[test]
    fn a_mend_waits_for_one_that_changes_what_it_rests_on() {
        // The drone's pitch on string 1 would come between the hammer-on and the string it is to be on.
        let piece = Piece::reel("| 3:0 t  3:0 -  t 3:4  3:0 t |");
        let mending = mend_all(&piece.music(), &check(&piece.music(), &piece.settings));
        assert_eq!(mending.mends, 1);
        assert!(apply(&piece.text, &mending.edits).ends_with("| 3:0 t  3:0 -  1:5 3:4  3:0 t |\n"));
    }

    #[test]
    fn no_mend_is_safe_where_it_parts_a_note_from_text_that_cannot_be_read() {
        for music in ["| 2:0 - 1t  1:0 t 1:0 |", "| 1:0 1:2part 1:0  1:0 t 1:0 |"] {
            let piece = Piece::jig(music);
            let findings = check(&piece.music(), &piece.settings);
            assert!(findings.iter().any(|finding| !mends(&piece.music(), finding).is_empty()), "{music}");
            assert_eq!(mend_all(&piece.music(), &findings), Mending::default(), "{music}");
        }
    }

    #[test]
    fn edits_are_made_in_order_and_what_does_not_fit_is_left_out() {
        let edits = [
            Edit::replace(Span::new(0, 1), "1:2"),
            Edit::insert(2, "h"),
            Edit::replace(Span::new(1, 2), "no"),
            Edit::replace(Span::new(90, 91), "no"),
        ];
        assert_eq!(apply("t 4", &edits), "1:2 h4");
    }
}
