//! Tunes of one book that share a title.

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;

use lope_desk::{Entry, Settings, Span, is_kept, rule, same_title, same_titles};

use super::Examined;
use super::item::bare;
use crate::files::shown;
use crate::report::{Excerpt, Ruler, Stretch};

/// The name of the rule.
const SAME_TITLE: &str = "same-title";

/// A tune's title, with what a finding about it takes.
pub struct Titled {
    title: String,
    settings: Arc<Settings>,
    span: Span,
    at: Stretch,
    excerpt: Excerpt,
    kept: bool,
}

impl Titled {
    /// The title of the tune of `entry`, where it has one. The ruler lies along the file.
    pub fn new(entry: Entry<'_>, ruler: &mut Ruler<'_>) -> Option<Self> {
        let reading = entry.reading;
        let span = reading.title_span()?;
        let at = ruler.stretch(entry.bytes(span));
        Some(Self {
            title: reading.tune().header.title.clone(),
            settings: Arc::clone(reading.settings()),
            span,
            at,
            excerpt: Excerpt::new(ruler, at),
            kept: is_kept(reading.text(), reading.tree(), rule(SAME_TITLE)?, span),
        })
    }
}

/// Adds to the files, which are in the order of their paths, a finding for each tune whose title an earlier tune
/// of its book has.
pub fn compare(files: &mut [(PathBuf, Examined)]) {
    for (file, title, first) in shared(files) {
        let (_, examined) = &files[file];
        let titled = &examined.titles[title];
        let Some(finding) = same_title(&titled.settings, titled.span, &first).filter(|_| !titled.kept) else {
            continue;
        };
        let item = bare(&finding, titled.title.clone(), titled.at, titled.excerpt.clone());
        let items = &mut files[file].1.items;
        let place = items.partition_point(|other| other.at.start.byte <= item.at.start.byte);
        items.insert(place, item);
    }
}

/// Each title that an earlier one of its book is the same as: its file, its place among that file's titles, and
/// where the earlier one is, in words.
fn shared(files: &[(PathBuf, Examined)]) -> Vec<(usize, usize, String)> {
    let mut books: HashMap<_, Vec<(usize, usize)>> = HashMap::new();
    for (file, (_, examined)) in files.iter().enumerate() {
        let titles = (0..examined.titles.len()).map(|title| (file, title));
        books.entry(&examined.book.root).or_default().extend(titles);
    }
    let title = |&(file, title): &(usize, usize)| &files[file].1.titles[title];
    let same = books.values().flat_map(|places| {
        let same = same_titles(places.iter().map(|place| title(place).title.as_str()));
        same.into_iter().map(|(later, first)| (places[later], places[first]))
    });
    let told = same.map(|((file, number), first)| {
        let line = format!("line {}", title(&first).at.start.line);
        let elsewhere = || format!("{}, {line}", shown(&files[first.0].0));
        (file, number, if first.0 == file { line.clone() } else { elsewhere() })
    });
    told.collect()
}
