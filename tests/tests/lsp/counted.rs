//! A text with its places counted as the protocol does, in each encoding.

use std::ops::Range;

use lope_tests::editor::{Document, Editor, Options};
use lope_tests::mark::Fixture;
use serde_json::{Value, json};

pub const ENCODINGS: [&str; 3] = ["utf-8", "utf-16", "utf-32"];

/// A text, open in an editor that counts in some encoding.
pub struct Counted {
    pub editor: Editor,
    pub document: Document,
    pub text: String,
    /// The byte of the cursor, where the text was marked with one.
    cursor: Option<usize>,
    encoding: &'static str,
}

impl Counted {
    /// Opens `marked`, in which `$0` may be the cursor.
    pub fn open(options: Options, encoding: &'static str, marked: &str) -> Self {
        let mut editor = Editor::start(options.counting_in(&[encoding]));
        let Fixture { text, cursors, .. } = Fixture::new(marked);
        let document = editor.open("untitled:counted", &text);
        Self { editor, document, text, cursor: cursors.first().map(|at| *at as usize), encoding }
    }

    /// The parameters of a request at the cursor.
    pub fn here(&self) -> Value {
        let (line, character) = self.position(self.cursor.unwrap());
        self.document.at(line, character)
    }

    /// The result of a request at the cursor.
    pub fn ask(&mut self, method: &str) -> Value {
        self.editor.request(method, self.here())
    }

    /// The result of a request about the whole text.
    pub fn ask_all(&mut self, method: &str) -> Value {
        self.editor.request(method, json!({ "textDocument": self.document.id() }))
    }

    /// The line and character of a byte.
    pub fn position(&self, at: usize) -> (u32, u32) {
        let (line, start) =
            (0..).zip(self.line_starts()).take_while(|(_, start)| *start <= at).last().unwrap();
        (line, u32::try_from(self.width(&self.text[start..at])).unwrap())
    }

    /// The byte at a position, which must be there.
    pub fn byte(&self, position: &Value) -> usize {
        let [line, character] = ["line", "character"].map(|name| position[name].as_u64().unwrap() as usize);
        let start = self.line_starts()[line];
        let line = &self.text[start..];
        let ends = line.char_indices().map(|(at, _)| at).chain([line.len()]);
        let within = ends.take_while(|at| !line[..*at].contains(['\n', '\r']));
        let found = within.into_iter().find(|at| self.width(&line[..*at]) == character);
        start + found.unwrap_or_else(|| panic!("{position} is not in the text"))
    }

    /// The bytes of a range.
    pub fn bytes(&self, range: &Value) -> Range<usize> {
        self.byte(&range["start"])..self.byte(&range["end"])
    }

    /// The text with each of `places` between `«` and `»`, its words before the latter.
    pub fn show<'a>(&self, places: impl IntoIterator<Item = (&'a Value, &'a str)>) -> String {
        let places = places.into_iter().map(|(range, words)| (self.bytes(range), words));
        let mut places: Vec<(Range<usize>, &str)> = places.collect();
        places.sort_by_key(|(bytes, _)| bytes.start);
        let mut shown = self.text.clone();
        for (bytes, words) in places.into_iter().rev() {
            shown.insert_str(bytes.end, &format!("{words}»"));
            shown.insert(bytes.start, '«');
        }
        shown
    }

    /// The text after `edits`, or as it is where there are none.
    pub fn edited(&self, edits: &Value) -> String {
        let mut edits: Vec<_> = edits
            .as_array()
            .into_iter()
            .flatten()
            .map(|edit| (self.bytes(&edit["range"]), &edit["newText"]))
            .collect();
        edits.sort_by_key(|(bytes, _)| bytes.start);
        let mut text = self.text.clone();
        for (bytes, new) in edits.into_iter().rev() {
            text.replace_range(bytes, new.as_str().unwrap());
        }
        text
    }

    /// How much `text`, which has no line break, counts.
    pub fn width(&self, text: &str) -> usize {
        match self.encoding {
            "utf-8" => text.len(),
            "utf-16" => text.encode_utf16().count(),
            _ => text.chars().count(),
        }
    }

    fn line_starts(&self) -> Vec<usize> {
        let ends = |(at, letter): (usize, char)| {
            let is_end = letter == '\n' || letter == '\r' && !self.text[at + 1..].starts_with('\n');
            is_end.then_some(at + 1)
        };
        std::iter::once(0).chain(self.text.char_indices().filter_map(ends)).collect()
    }
}
