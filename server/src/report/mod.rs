//! What checking found, for a player, an editor, a build or another program to read.

mod annotations;
mod excerpt;
mod human;
mod json;
mod junit;
mod page;
mod position;
mod sarif;

use std::io::{self, Write};
use std::path::PathBuf;

use lope_desk::{Level, Place};
use serde::Serialize;

use crate::files::Problem;

pub use excerpt::Excerpt;
pub use human::{Look, counted};
pub use page::{family, page, usual_level};
pub use position::{Ruler, Stretch};

/// A form that a report can have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Form {
    /// One JSON document, described in server/REPORTS.md.
    Json,
    /// SARIF 2.1.0, which code hosts and editors read.
    Sarif,
    /// JUnit XML, which build servers read: a test case for each file.
    Junit,
    /// Workflow commands, which a CI host shows beside the changed lines.
    Annotations,
}

/// All that a check has to say.
pub struct Report {
    /// Every file that was checked and every faulty `lope.toml`, in the order of the paths.
    pub files: Vec<FileReport>,
    /// What could not be read.
    pub problems: Vec<Problem>,
    /// The mildest level at which the check fails.
    pub fail_on: Level,
}

/// What was found in one file.
pub struct FileReport {
    /// The file, as it was named or found.
    pub path: PathBuf,
    /// What was found, in the order of the text.
    pub items: Vec<Item>,
}

/// A finding, with all that is said of it.
pub struct Item {
    /// The rule's name.
    pub rule: &'static str,
    /// How much it matters.
    pub level: Level,
    /// What is wrong.
    pub message: String,
    /// The title of the tune; empty where it has none.
    pub tune: String,
    /// Where in the tune; none outside of tunes.
    pub place: Option<Place>,
    /// Where in the file.
    pub at: Stretch,
    /// The line of the file, with the place marked.
    pub excerpt: Excerpt,
    /// How it can be put right, the best way first.
    pub mends: Vec<Repair>,
    /// Other places that explain it.
    pub related: Vec<Remark>,
}

/// A mend, with its changes placed in the file.
#[derive(Serialize)]
pub struct Repair {
    /// What it does.
    pub title: String,
    /// Whether it keeps every pitch and every onset.
    pub safe: bool,
    /// The changes, in the order of the text.
    pub edits: Vec<Change>,
}

/// A change to a file.
#[derive(Serialize)]
pub struct Change {
    /// What to take out.
    #[serde(flatten)]
    pub at: Stretch,
    /// What to put there.
    pub text: String,
}

/// Another place that explains a finding.
#[derive(Serialize)]
pub struct Remark {
    /// Where.
    #[serde(flatten)]
    pub at: Stretch,
    /// What is there.
    pub message: String,
}

impl Report {
    /// Writes the report in `form`; for a player to read where there is none.
    pub fn write(&self, form: Option<Form>, look: &Look, out: &mut dyn Write) -> io::Result<()> {
        match form {
            None => human::write(self, look, out),
            Some(Form::Json) => json::write(self, out),
            Some(Form::Sarif) => sarif::write(self, out),
            Some(Form::Junit) => junit::write(self, out),
            Some(Form::Annotations) => annotations::write(self, out),
        }
    }

    /// Whether anything was found at the level at which the check fails, or above.
    pub fn fails(&self) -> bool {
        self.items().any(|item| self.fails_for(item))
    }

    fn fails_for(&self, item: &Item) -> bool {
        item.level >= self.fail_on
    }

    fn items(&self) -> impl Iterator<Item = &Item> {
        self.files.iter().flat_map(|file| &file.items)
    }

    fn count(&self, level: Level) -> usize {
        self.items().filter(|item| item.level == level).count()
    }
}

impl Item {
    /// Where in its tune it is as a player says it, and what is wrong.
    fn sentence(&self) -> String {
        match self.place.as_ref().filter(|place| place.section.is_some()) {
            Some(place) => format!("{place}: {}", self.message),
            None => self.message.clone(),
        }
    }
}
