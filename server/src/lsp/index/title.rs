//! Titles, and which tunes of a book share one.

use std::collections::{BTreeSet, HashMap};
use std::ffi::OsStr;
use std::path::PathBuf;
use std::sync::Arc;

use lope_desk::{Entry, Finding, Settings, Span, called, is_kept, rule, same_title};
use tower_lsp::lsp_types::Range;

use crate::lsp::snapshot::View;

/// The rule that no two tunes of a book have one title.
pub const SAME_TITLE: &str = "same-title";

/// What a file goes by: its path, or its address where it is on no disk. Sorted, they stand in the order in
/// which `lope check` goes through a book.
pub type Key = Arc<OsStr>;

/// The title of a tune, and what a finding about it takes.
pub struct Title {
    /// The title as it is written.
    pub name: String,
    called: String,
    span: Span,
    /// Its lines count from the line at which the tune starts.
    range: Range,
    settings: Arc<Settings>,
    kept: bool,
}

/// A title, and where in its file the tune stands.
#[derive(Clone)]
pub struct Placed {
    /// The title.
    pub title: Arc<Title>,
    /// How many tunes stand before it.
    pub number: usize,
    /// The line at which the tune starts.
    pub line: u32,
}

impl Title {
    /// The title of the tune of `entry`, where it has one.
    pub fn new(view: View<'_>, entry: Entry<'_>) -> Option<Arc<Self>> {
        let reading = entry.reading;
        let (span, name) = (reading.title_span()?, reading.tune().header.title.clone());
        let mut range = view.range(entry.bytes(span));
        for end in [&mut range.start, &mut range.end] {
            end.line -= entry.line;
        }
        Some(Arc::new(Self {
            called: called(&name)?,
            name,
            span,
            range,
            settings: Arc::clone(reading.settings()),
            kept: is_kept(reading.text(), reading.tree(), rule(SAME_TITLE)?, span),
        }))
    }

    fn is_as(&self, other: &Self) -> bool {
        let all = |title: &Self| (title.span, title.range, title.kept);
        self.name == other.name && all(self) == all(other) && Arc::ptr_eq(&self.settings, &other.settings)
    }
}

impl Placed {
    /// The title as titles are compared.
    pub fn called(&self) -> &str {
        &self.title.called
    }

    /// Where in the file the title stands.
    pub fn range(&self) -> Range {
        let mut range = self.title.range;
        range.start.line += self.line;
        range.end.line += self.line;
        range
    }

    /// The finding that the tune at `first`, in words, has this title as well.
    pub fn same_as(&self, first: &str) -> Option<Finding> {
        let Title { settings, span, kept, .. } = &*self.title;
        same_title(settings, *span, first).filter(|_| !kept)
    }

    /// Whether nothing is to be said of this that is not said of `other`.
    pub fn is_as(&self, other: &Self) -> bool {
        (self.number, self.line) == (other.number, other.line)
            && (Arc::ptr_eq(&self.title, &other.title) || self.title.is_as(&other.title))
    }
}

/// Tunes whose titles are compared with each other.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Group {
    /// Those of a book: by the folder of its `lope.toml`, or those of all folders without one.
    Book(Option<PathBuf>),
    /// Those of one file that is in no open folder.
    Alone(Key),
}

/// Who is called what.
#[derive(Default)]
pub struct Titles {
    groups: HashMap<Group, HashMap<String, BTreeSet<(Key, usize)>>>,
}

impl Titles {
    /// Takes the titles of the file at `key` in.
    pub fn add(&mut self, group: &Group, key: &Key, titles: &[Placed]) {
        let group = self.groups.entry(group.clone()).or_default();
        for placed in titles {
            let places = group.entry(placed.title.called.clone()).or_default();
            places.insert((Arc::clone(key), placed.number));
        }
    }

    /// Takes them out again.
    pub fn remove(&mut self, group: &Group, key: &Key, titles: &[Placed]) {
        let Some(within) = self.groups.get_mut(group) else { return };
        for placed in titles {
            let Some(places) = within.get_mut(&placed.title.called) else { continue };
            places.remove(&(Arc::clone(key), placed.number));
            if places.is_empty() {
                within.remove(&placed.title.called);
            }
        }
        if within.is_empty() {
            self.groups.remove(group);
        }
    }

    /// The tunes of `group` that are called `called`, in their order.
    pub fn called(&self, group: &Group, called: &str) -> impl DoubleEndedIterator<Item = &(Key, usize)> {
        self.groups.get(group).and_then(|within| within.get(called)).into_iter().flatten()
    }
}
