//! Completions as text.

use std::sync::Arc;

use super::{Completion, Completions};
use crate::{Page, Settings};

/// What could stand at the `$0` in `marked`, a whole file, and the text it would take the place of.
pub fn complete(marked: &str) -> (String, Completions) {
    let at = marked.find("$0").expect("a cursor");
    let text = marked.replacen("$0", "", 1);
    let page = Page::read(&text, &Arc::new(Settings::default()));
    let found = page.complete(at);
    let (offset, completions) =
        found.map_or((0, Completions::default()), |(entry, found)| (entry.offset, found));
    let span = offset + completions.span.start as usize..offset + completions.span.end as usize;
    (text[span].to_owned(), completions)
}

/// The names of what could stand at the `$0` in `marked`.
pub fn labels(marked: &str) -> Vec<String> {
    complete(marked).1.items.into_iter().map(|item| item.label).collect()
}

/// The one called `label` among what could stand at the `$0` in `marked`.
pub fn item(marked: &str, label: &str) -> Completion {
    let items = complete(marked).1.items;
    let labels: Vec<_> = items.iter().map(|item| item.label.clone()).collect();
    items.into_iter().find(|item| item.label == label).unwrap_or_else(|| panic!("no {label} in {labels:?}"))
}

/// A jig in open G with `music` as its only part.
pub fn jig(music: &str) -> String {
    format!("tune: T\nmeter: 6/8\n\npart A\n{music}\n")
}

/// A reel in open G with `music` as its only part.
pub fn reel(music: &str) -> String {
    format!("tune: T\nmeter: 4/4\n\npart A\n{music}\n")
}
