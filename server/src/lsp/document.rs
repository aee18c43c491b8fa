//! The text of an open document as the client has it.

use lope_desk::Change;
use ropey::Rope;
use tower_lsp::lsp_types::{Position, TextDocumentContentChangeEvent as Edit};

use super::position::Encoding;

/// A document's text and version.
#[derive(Clone, Debug, Default)]
pub struct Document {
    /// The text; a clone shares it.
    pub text: Rope,
    /// The client's number for it.
    pub version: i32,
    /// Our own number for it, which counts what happens to it since it was opened.
    pub edition: u64,
}

/// What came of edits.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Edited {
    /// What happened to the text.
    pub news: News,
    /// What was not right with the edits, and what was made of it.
    pub remarks: Vec<String>,
}

/// What happened to a text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum News {
    /// Nothing.
    #[default]
    None,
    /// A stretch of it is new.
    Part(Change),
    /// It is another text.
    All,
}

impl News {
    /// This and what happened after it.
    pub fn then(self, later: Self) -> Self {
        match (self, later) {
            (Self::All, _) | (_, Self::All) => Self::All,
            (news, Self::None) | (Self::None, news) => news,
            (Self::Part(first), Self::Part(second)) => Self::Part(first.then(second)),
        }
    }
}

impl Document {
    /// A document just opened.
    pub fn new(text: &str, version: i32) -> Self {
        Self { text: Rope::from_str(text), version, edition: 0 }
    }

    /// Makes the edits in their order, each in the text the one before it left, and says what happened. An
    /// older version than the one at hand comes too late and changes nothing: what it says of places no
    /// longer holds.
    pub fn edit(&mut self, edits: Vec<Edit>, version: i32, encoding: Encoding) -> Result<Edited, String> {
        if version < self.version {
            return Err(format!("version {version} comes after version {}", self.version));
        }
        self.version = version;
        self.edition += 1;
        let mut edited = Edited::default();
        for edit in edits {
            edited.remarks.extend(self.remarks(&edit, encoding));
            edited.news = edited.news.then(self.edit_once(&edit, encoding));
        }
        Ok(edited)
    }

    /// What is not right with the places of `edit`, and what they are taken for.
    fn remarks(&self, edit: &Edit, encoding: Encoding) -> Vec<String> {
        let Some(range) = edit.range else { return Vec::new() };
        let ends = if range.start == range.end { vec![range.start] } else { vec![range.start, range.end] };
        let odd = ends.into_iter().filter_map(|named| {
            let meant = encoding.position(&self.text, encoding.offset(&self.text, named));
            // The line after the last is how many clients name the end.
            let is_end = named == Position::new(self.text.len_lines() as u32, 0);
            (named != meant && !is_end).then(|| {
                let [named, meant] = [named, meant].map(|it| format!("{}:{}", it.line, it.character));
                format!("the text has no place {named} (line and character from 0), {meant} is taken for it")
            })
        });
        let turned =
            (range.end < range.start).then(|| "its range is the wrong way round and is turned".to_owned());
        odd.chain(turned).collect()
    }

    fn edit_once(&mut self, edit: &Edit, encoding: Encoding) -> News {
        let Some(range) = edit.range else {
            self.text = Rope::from_str(&edit.text);
            return News::All;
        };
        let [one, other] = [range.start, range.end].map(|position| encoding.offset(&self.text, position));
        let (start, old_end) = (one.min(other), one.max(other));
        let [first, last] = [start, old_end].map(|offset| self.text.byte_to_char(offset));
        self.text.remove(first..last);
        self.text.insert(first, &edit.text);
        News::Part(Change { start, old_end, new_end: start + edit.text.len() })
    }
}

#[cfg(test)]
mod tests {
    use tower_lsp::lsp_types::Range;

    use super::*;

    fn at(places: (u32, u32, u32, u32), text: &str) -> Edit {
        let (line, character, last_line, last) = places;
        let range = Range::new(Position::new(line, character), Position::new(last_line, last));
        Edit { range: Some(range), range_length: None, text: text.to_owned() }
    }

    #[test]
    fn edits_are_made_one_after_another() {
        let mut document = Document::new("one\r\ntwo\r\n", 1);
        let edits = vec![at((0, 3, 1, 0), " "), at((0, 4, 0, 7), "2\n3"), at((9, 9, 9, 9), "!")];
        let news = document.edit(edits, 2, Encoding::Utf16);
        assert_eq!(document.text, "one 2\n3\r\n!");
        assert_eq!(news.unwrap().news, News::Part(Change { start: 3, old_end: 10, new_end: 10 }));
    }

    #[test]
    fn an_edit_may_part_and_join_a_line_break() {
        let mut document = Document::new("a\r\nb", 1);
        let _ = document.edit(vec![at((0, 1, 0, 9), "x")], 2, Encoding::Utf16);
        assert_eq!(document.text, "ax\r\nb");
        let _ = document.edit(vec![at((1, 0, 1, 0), "\n")], 3, Encoding::Utf16);
        assert_eq!(document.text, "ax\r\n\nb");
        let _ = document.edit(vec![at((0, 2, 2, 0), "\r"), at((1, 0, 1, 0), "\n")], 4, Encoding::Utf16);
        assert_eq!(document.text, "ax\r\nb");
        assert_eq!(document.text.len_lines(), 2);
    }

    #[test]
    fn a_range_the_wrong_way_round_is_turned() {
        let mut document = Document::new("abcd", 1);
        let _ = document.edit(vec![at((0, 3, 0, 1), "-")], 2, Encoding::Utf16);
        assert_eq!(document.text, "a-d");
    }

    #[test]
    fn an_older_version_changes_nothing() {
        let mut document = Document::new("abc", 5);
        assert!(document.edit(vec![at((0, 0, 0, 1), "")], 4, Encoding::Utf16).is_err());
        assert_eq!((document.text, document.version), (Rope::from_str("abc"), 5));
    }

    #[test]
    fn a_whole_text_is_all_new() {
        let mut document = Document::new("abc", 5);
        let whole = Edit { range: None, range_length: None, text: "xyz".to_owned() };
        let news = document.edit(vec![at((0, 0, 0, 1), ""), whole, at((0, 1, 0, 2), "")], 6, Encoding::Utf16);
        assert_eq!((news.unwrap().news, document.text), (News::All, Rope::from_str("xz")));
    }
}
