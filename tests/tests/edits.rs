//! Following edits is the same as opening the text they end in.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::sync::Arc;

use lope_desk::{Change, Finding, Page, Settings};
use lope_tests::soup;
use proptest::collection::vec;
use proptest::prelude::*;

proptest! {
    #[test]
    fn a_page_that_followed_edits_is_the_page_of_the_text(
        mut text in soup::file(),
        edits in vec(soup::edit(), 1..12),
    ) {
        let settings = Arc::new(Settings::default());
        let mut page = Page::read(&text, &settings);
        for edit in edits {
            let taken = edit.range(&text);
            edit.apply(&mut text);
            let new_end = taken.start + edit.put.len();
            page.edit(text.as_str(), Change { start: taken.start, old_end: taken.end, new_end });
            prop_assert_eq!(all(&page), all(&Page::read(&text, &settings)));
        }
    }
}

/// All that a page says: where each tune stands, its text, its findings.
fn all(page: &Page) -> Vec<(usize, u32, String, Vec<Finding>)> {
    let entries = page.entries();
    let all = entries.map(|entry| {
        (entry.offset, entry.line, entry.reading.text().to_owned(), entry.reading.findings().to_vec())
    });
    all.collect()
}
