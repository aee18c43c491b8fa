//! The report as one JSON document, described in server/REPORTS.md.

use std::io::{self, Write};

use lope_desk::Level;
use serde::Serialize;

use super::{FileReport, Item, Remark, Repair, Report, Stretch};
use crate::files::{Problem, shown};

/// Raised when a reader written for the form before would go wrong.
const VERSION: u32 = 1;

pub fn write(report: &Report, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, &Document::from(report))?;
    writeln!(out)
}

#[derive(Serialize)]
struct Document<'r> {
    version: u32,
    summary: Summary,
    files: Vec<File<'r>>,
    problems: Vec<Trouble<'r>>,
}

#[derive(Serialize)]
struct Summary {
    files: usize,
    errors: usize,
    warnings: usize,
    hints: usize,
    problems: usize,
}

#[derive(Serialize)]
struct File<'r> {
    path: String,
    findings: Vec<Finding<'r>>,
}

#[derive(Serialize)]
struct Finding<'r> {
    rule: &'r str,
    level: &'r str,
    message: &'r str,
    tune: Option<&'r str>,
    place: Option<Place<'r>>,
    #[serde(flatten)]
    at: Stretch,
    mends: &'r [Repair],
    related: &'r [Remark],
}

#[derive(Serialize)]
struct Place<'r> {
    said: String,
    section: Option<&'r str>,
    bar: Option<u32>,
    count: Option<&'r str>,
}

#[derive(Serialize)]
struct Trouble<'r> {
    path: String,
    line: Option<u32>,
    column: Option<u32>,
    message: &'r str,
}

impl<'r> From<&'r Report> for Document<'r> {
    fn from(report: &'r Report) -> Self {
        let summary = Summary {
            files: report.files.len(),
            errors: report.count(Level::Error),
            warnings: report.count(Level::Warning),
            hints: report.count(Level::Hint),
            problems: report.problems.len(),
        };
        let files = report.files.iter().filter(|file| !file.items.is_empty()).map(File::from).collect();
        Self {
            version: VERSION,
            summary,
            files,
            problems: report.problems.iter().map(Trouble::from).collect(),
        }
    }
}

impl<'r> From<&'r FileReport> for File<'r> {
    fn from(file: &'r FileReport) -> Self {
        Self { path: shown(&file.path), findings: file.items.iter().map(Finding::from).collect() }
    }
}

impl<'r> From<&'r Item> for Finding<'r> {
    fn from(item: &'r Item) -> Self {
        Self {
            rule: item.rule,
            level: item.level.name(),
            message: &item.message,
            tune: Some(item.tune.as_str()).filter(|title| !title.is_empty()),
            place: item.place.as_ref().map(Place::from),
            at: item.at,
            mends: &item.mends,
            related: &item.related,
        }
    }
}

impl<'r> From<&'r lope_desk::Place> for Place<'r> {
    fn from(place: &'r lope_desk::Place) -> Self {
        Self {
            said: place.to_string(),
            section: place.section.as_deref(),
            bar: place.bar,
            count: place.count.as_deref(),
        }
    }
}

impl<'r> From<&'r Problem> for Trouble<'r> {
    fn from(problem: &'r Problem) -> Self {
        let (line, column) = problem.at.unzip();
        Self { path: shown(&problem.path), line, column, message: &problem.message }
    }
}
