//! Fixtures: text in which `$0` is the cursor, and answers shown as text with `«»` about what they mark.

use std::ops::Range;
use std::sync::Arc;

use crate::{Page, Settings};

/// A page, its text, and the byte the cursor is at.
pub struct Fixture {
    /// The text without the cursor.
    pub text: String,
    /// The text, read.
    pub page: Page,
    /// Where the cursor is.
    pub at: usize,
}

impl Fixture {
    /// Takes the cursor out of `marked`; without one it is at the start.
    pub fn new(marked: &str) -> Self {
        let text = marked.replacen("$0", "", 1);
        let page = Page::read(&text, &Arc::new(Settings::default()));
        Self { text, page, at: marked.find("$0").unwrap_or_default() }
    }

    /// The text with each of `places`, in any order, between `«` and `»`, its words before the latter.
    pub fn show(&self, places: impl IntoIterator<Item = (Range<usize>, String)>) -> String {
        // At one place, what is put there first stands first: so what ends comes before what begins.
        let mut marks: Vec<(usize, u8, String)> = Vec::new();
        for (bytes, words) in places {
            marks.push((bytes.start, 1, "«".to_owned()));
            marks.push((bytes.end, 0, format!("{words}»")));
        }
        marks.sort();
        let mut shown = self.text.clone();
        marks.iter().rev().for_each(|(at, _, mark)| shown.insert_str(*at, mark));
        shown
    }
}
