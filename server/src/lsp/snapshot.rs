//! An open file as it was read at one version: what every question is asked of.

use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

use lope_desk::{Change, Edit, Page, Settings, Text};
use ropey::Rope;
use tower_lsp::lsp_types::{self as protocol, TextEdit, Url};

use super::document::Document;
use super::features::Features;
#[cfg(debug_assertions)]
use super::mistakes;
use super::tokens::Told;

/// A file's text at a version and all that is known of it.
pub struct Snapshot {
    /// The text and its version.
    pub document: Document,
    /// Its tunes.
    pub page: Page,
    /// The semantic tokens that were told of it, or of a version before.
    pub told: Told,
}

impl Snapshot {
    /// Reads a text that is soon let go again.
    pub fn passing(text: &str, settings: &Arc<Settings>) -> Self {
        let document = Document::new(text, 0);
        #[cfg(debug_assertions)]
        mistakes::make(&document.text);
        let page = Page::read(text, settings);
        Self { document, page, told: Told::default() }
    }

    /// Reads all of `document`, to keep it, for as long as that is `wanted`.
    pub fn read(document: Document, settings: &Arc<Settings>, wanted: impl Fn() -> bool) -> Option<Self> {
        #[cfg(debug_assertions)]
        mistakes::make(&document.text);
        let page = Page::read_while(&Cow::from(&document.text), settings, wanted)?;
        Some(Self { document, page, told: Told::default() })
    }

    /// Reads again what `change` touched to make the text what it is in `document`.
    pub fn catch_up(&mut self, document: Document, change: Change) {
        #[cfg(debug_assertions)]
        mistakes::make(&document.text);
        self.page.edit(&Held(&document.text), change);
        self.document = document;
    }
}

/// A file's text as edits keep it.
struct Held<'t>(&'t Rope);

impl Text for Held<'_> {
    fn size(&self) -> usize {
        self.0.len_bytes()
    }

    fn slice(&self, range: Range<usize>) -> Cow<'_, str> {
        self.0.get_byte_slice(range).map(Cow::from).unwrap_or_default()
    }
}

/// A snapshot as a certain client sees it.
#[derive(Clone, Copy)]
pub struct View<'s> {
    /// What the client calls the file.
    pub url: &'s Url,
    /// What the client can do.
    pub features: &'s Features,
    /// The file.
    pub snapshot: &'s Snapshot,
}

impl<'s> View<'s> {
    /// Its tunes.
    pub const fn page(self) -> &'s Page {
        &self.snapshot.page
    }

    /// The range of the bytes.
    pub fn range(&self, bytes: Range<usize>) -> protocol::Range {
        self.features.encoding.range(&self.snapshot.document.text, bytes)
    }

    /// The bytes of the range.
    pub fn bytes(&self, range: protocol::Range) -> Range<usize> {
        let [start, end] = [range.start, range.end].map(|position| self.offset(position));
        start..end.max(start)
    }

    /// The byte at the position.
    pub fn offset(&self, position: protocol::Position) -> usize {
        self.features.encoding.offset(&self.snapshot.document.text, position)
    }

    /// An edit whose place counts from `offset`: as small as it can be.
    pub fn text_edit(&self, offset: usize, edit: &Edit) -> TextEdit {
        let text = &self.snapshot.document.text;
        let bytes = offset + edit.span.start as usize..offset + edit.span.end as usize;
        let (bytes, new) = before_the_end(text, smallest(text, bytes, &edit.text));
        TextEdit { range: self.range(bytes), new_text: new }
    }
}

/// Bytes of a text, and what to put in their place.
type Replacement = (Range<usize>, String);

/// The replacement less what old and new start and end with alike: but no line break is taken apart, since no
/// position points between its two halves.
fn smallest(text: &Rope, bytes: Range<usize>, new: &str) -> Replacement {
    let old = text.get_byte_slice(bytes.clone()).map(Cow::from).unwrap_or_default();
    let alike = |a: &mut dyn Iterator<Item = char>, b: &mut dyn Iterator<Item = char>| {
        a.zip(b).take_while(|(a, b)| a == b).map(|(a, _)| a.len_utf8()).sum::<usize>()
    };
    let mut head = alike(&mut old.chars(), &mut new.chars());
    if old[..head].ends_with('\r') {
        head -= 1;
    }
    let (old, new) = (&old[head..], &new[head..]);
    let mut tail = alike(&mut old.chars().rev(), &mut new.chars().rev());
    if old[old.len() - tail..].starts_with('\n') && old[..old.len() - tail].ends_with('\r') {
        tail -= 1;
    }
    let start = bytes.start + head;
    (start..start + old.len() - tail, new[..new.len() - tail].to_owned())
}

/// The same replacement with its end before the end of the text, where that can be: Kakoune's client
/// misplaces one that reaches the end. Taking out the last lines, or adding some, can as well be done before
/// the last line break.
fn before_the_end(text: &Rope, (bytes, new): Replacement) -> Replacement {
    let is_at = |end: usize, what: &str| {
        let slice = end.checked_sub(what.len()).and_then(|start| text.get_byte_slice(start..end));
        slice.is_some_and(|slice| slice == what)
    };
    let size = text.len_bytes();
    let Some(ending) = ["\r\n", "\n"].into_iter().find(|ending| is_at(bytes.start, ending)) else {
        return (bytes, new);
    };
    let before = bytes.start - ending.len();
    match new.strip_suffix(ending) {
        _ if bytes.end < size => (bytes, new),
        Some(lines) if bytes.is_empty() => (before..before, format!("{ending}{lines}")),
        None if new.is_empty() && bytes.len() >= ending.len() && is_at(size, ending) => {
            (before..size - ending.len(), new)
        }
        _ => (bytes, new),
    }
}

#[cfg(test)]
mod tests {
    use proptest::collection::vec;
    use proptest::prelude::*;
    use proptest::sample::select;
    use tower_lsp::lsp_types::TextDocumentContentChangeEvent;

    use super::*;
    use crate::lsp::document::News;
    use crate::lsp::position::Encoding;

    /// Pieces of notation, and what makes counting hard.
    const PIECES: [&str; 14] = [
        "tune: A\n",
        "# c\n",
        "meter: 6/8\n",
        "part A\n",
        "| 2:0 t h3 |\n",
        "1:0 ",
        "\r\n",
        "\r",
        "\n",
        "é",
        "🎵",
        "t",
        ":",
        "",
    ];

    fn piece() -> impl Strategy<Value = String> {
        vec(select(&PIECES), 0..6).prop_map(|pieces| pieces.concat())
    }

    /// A place, and lengths of what is taken out, in characters.
    fn edit() -> impl Strategy<Value = (usize, usize, String)> {
        (0..400_usize, 0..30_usize, piece())
    }

    proptest! {
        /// Edits one by one, by positions, are the same as opening what they make.
        #[test]
        fn catching_up_is_reading_anew(
            pieces in vec(piece(), 0..12),
            edits in vec(vec(edit(), 1..4), 1..6),
            encoding in select(&[Encoding::Utf8, Encoding::Utf16, Encoding::Utf32]),
        ) {
            let (mut plain, settings) = (pieces.concat(), Arc::default());
            let read = |document: Document| Snapshot::read(document, &settings, || true).unwrap();
            let mut document = Document::new(&plain, 0);
            let mut snapshot = read(document.clone());
            for (version, edits) in (1..).zip(edits) {
                let mut news = News::None;
                for (at, length, new) in edits {
                    let chars: Vec<usize> = plain.char_indices().map(|(at, _)| at).chain([plain.len()]).collect();
                    // Between the two halves of a line break no position points.
                    let apart = |at: usize| plain[..at].ends_with('\r') && plain[at..].starts_with('\n');
                    let first = at % chars.len();
                    let [start, end] = [first, (first + length).min(chars.len() - 1)].map(|char| {
                        if apart(chars[char]) { chars[char] - 1 } else { chars[char] }
                    });
                    let range = Some(encoding.range(&document.text, start..end));
                    let edit = TextDocumentContentChangeEvent { range, range_length: None, text: new.clone() };
                    news = news.then(document.edit(vec![edit], version, encoding).unwrap().news);
                    plain.replace_range(start..end, &new);
                }
                prop_assert_eq!(document.text.to_string(), plain.as_str());
                let News::Part(change) = news else { panic!("{news:?}") };
                snapshot.catch_up(document.clone(), change);
                let anew = read(Document::new(&plain, version));
                let told = |snapshot: &Snapshot| -> Vec<_> {
                    let entries = snapshot.page.entries();
                    entries.map(|entry| (entry.offset, entry.line, entry.reading.findings().to_vec())).collect()
                };
                prop_assert_eq!(told(&snapshot), told(&anew));
            }
        }
    }

    /// Checks that `change` makes the same text of `text` as the replacement it is given, which is smaller or
    /// ends earlier.
    #[track_caller]
    fn check(
        change: impl Fn(&Rope, Replacement) -> Replacement,
        text: &str,
        given: (Range<usize>, &str),
        made: (Range<usize>, &str),
    ) {
        let (given, made) = ((given.0, given.1.to_owned()), (made.0, made.1.to_owned()));
        assert_eq!(change(&Rope::from_str(text), given.clone()), made);
        let after =
            |(bytes, new): Replacement| format!("{}{new}{}", &text[..bytes.start], &text[bytes.end..]);
        assert_eq!(after(made), after(given));
    }

    #[test]
    fn an_edit_is_as_small_as_it_can_be() {
        let smallest = |text: &Rope, (bytes, new): Replacement| smallest(text, bytes, &new);
        check(smallest, "a\n\n\n\nb", (1..5, "\n\n"), (3..5, ""));
        check(smallest, "a  b", (1..3, " "), (2..3, ""));
        check(smallest, "a b", (1..2, "  "), (2..2, " "));
        check(smallest, "é", (0..2, "è"), (0..2, "è"));
        check(smallest, "a b", (1..2, " "), (2..2, ""));
        check(smallest, "a\r\n\r\nb", (1..5, "\r\n"), (3..5, ""));
        check(smallest, "a\r\nb", (1..3, "\n"), (1..3, "\n"));
        check(smallest, "a\r\nb", (1..3, "\r"), (1..3, "\r"));
        check(smallest, "a\nb", (1..2, "\r\n"), (1..1, "\r"));
    }

    #[test]
    fn an_edit_ends_before_the_end_of_the_text_where_it_can() {
        check(before_the_end, "a\n\n\n", (2..4, ""), (1..3, ""));
        check(before_the_end, "a\r\n\r\n", (3..5, ""), (1..3, ""));
        check(before_the_end, "a\n", (2..2, "b\n"), (1..1, "\nb"));
        check(before_the_end, "a\r\n", (3..3, "b\r\n"), (1..1, "\r\nb"));
        for (text, bytes, new) in [
            ("a\nb", 0..1, "c"),
            ("a\nb", 2..3, "c"),
            ("a", 1..1, "\n"),
            ("\n", 0..1, ""),
            ("a\n  ", 2..4, ""),
            ("a\r\n\n", 3..4, ""),
        ] {
            check(before_the_end, text, (bytes.clone(), new), (bytes, new));
        }
    }
}
