use std::collections::hash_map::DefaultHasher;
use std::fs::{self, Metadata};
use std::hash::{Hash, Hasher};
use std::path::Path;
use std::time::SystemTime;

use tower_lsp::lsp_types::{Diagnostic, Url};

use super::title::{Group, Key, Placed};
use crate::lsp::search::Heading;

/// What is known of a file.
pub struct Record {
    /// What the client calls it.
    pub url: Url,
    /// It is open: what it holds is the client's to say.
    pub open: bool,
    /// It was found in an open folder.
    pub listed: bool,
    /// The file on the disk as it was when it was read; none where it must be read.
    pub stamp: Option<Stamp>,
    /// Whose titles its own are compared with.
    pub group: Group,
    /// What it holds.
    pub contents: Contents,
    /// The name of what is found in it now, and the tick at which it became that.
    pub result: String,
    /// The tick at which `result` was given.
    pub changed: u64,
    /// The client is shown findings we sent.
    pub shown: bool,
    /// The file on the disk as it was when the client closed it: for as long as it is that, the client is not
    /// shown anything of it.
    pub closed: Option<Stamp>,
}

impl Record {
    /// A file of which nothing is known.
    pub fn new(url: Url, key: Key) -> Self {
        Self {
            url,
            open: false,
            listed: false,
            stamp: None,
            group: Group::Alone(key),
            contents: Contents::default(),
            result: String::new(),
            changed: 0,
            shown: false,
            closed: None,
        }
    }
}

/// What was read of a file.
#[derive(Default)]
pub struct Contents {
    /// What is found in it by itself.
    pub diagnostics: Vec<Diagnostic>,
    /// The titles of its tunes, in their order.
    pub titles: Vec<Placed>,
    /// Its tunes, parts and phrases.
    pub headings: Vec<Heading>,
}

impl Contents {
    /// Those of a file in which nothing can be read but that it cannot be.
    pub fn none_but(diagnostic: Diagnostic) -> Self {
        Self { diagnostics: vec![diagnostic], ..Self::default() }
    }

    /// The same in as little room as it takes: it is kept for as long as the folder is open.
    pub fn compact(mut self) -> Self {
        self.diagnostics.shrink_to_fit();
        self.titles.shrink_to_fit();
        self.headings.shrink_to_fit();
        self
    }
}

/// What tells a file that was written again from the same one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    modified: Option<SystemTime>,
    size: u64,
}

impl Stamp {
    /// The stamp of the file at `path`, which is there.
    pub fn of(path: &Path) -> Option<Self> {
        let read = |metadata: Metadata| Self { modified: metadata.modified().ok(), size: metadata.len() };
        fs::metadata(path).ok().map(read)
    }
}

/// What there is to say of a file.
pub struct Report {
    /// What the client calls it.
    pub url: Url,
    /// What it goes by here.
    pub key: Key,
    /// All that is found in it.
    pub diagnostics: Vec<Diagnostic>,
    /// The name of just these findings.
    pub result: String,
}

/// A name for `diagnostics`: the same for the same ones, in this run and in any other.
pub fn result_of(diagnostics: &[Diagnostic]) -> String {
    let mut hasher = DefaultHasher::new();
    // What the protocol's types hold is JSON by their making: there is no error to speak of.
    serde_json::to_vec(diagnostics).unwrap_or_default().hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}
