use std::ffi::OsStr;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use lope_desk::{Finding, Level, Mend, Page, Sheet};

use super::{Outcome, output};
use crate::config::{Book, Books, FILE_NAME, MISTAKE};
use crate::files::{self, Problem, Source, Walked};
use crate::report::{Change, Excerpt, FileReport, Form, Item, Remark, Repair, Report, Ruler};

/// Find what makes a tune stumble
///
/// Each finding is placed as a player says it (part, bar, count) and as file:line:column, under its line
/// of tab. The exit status is 0 where nothing was found at the level of --fail-on, 1 where something was, and
/// 2 where something could not be read.
#[derive(Args)]
pub struct Check {
    /// Files and folders; `-` for standard input
    #[arg(default_value = ".")]
    paths: Vec<PathBuf>,
    /// What to call standard input; its folder says which book it belongs to
    #[arg(long, value_name = "PATH", default_value = "-")]
    name: PathBuf,
    /// The form of the report, where another program reads it
    #[arg(long = "as", value_name = "FORM")]
    form: Option<Form>,
    /// The mildest level at which the check fails
    #[arg(long, value_name = "LEVEL", default_value = "warning", value_parser = level_parser())]
    fail_on: Level,
}

fn level_parser() -> impl TypedValueParser<Value = Level> {
    PossibleValuesParser::new(Level::ALL.map(Level::name))
        .map(|name| Level::ALL.into_iter().find(|level| level.name() == name).unwrap_or(Level::Warning))
}

impl Check {
    pub fn run(self) -> io::Result<Outcome> {
        let report = check(&self.paths, &self.name, self.fail_on);
        output::complain_of(&report.problems);
        let mut out = output::standard();
        report.write(self.form, &output::look(), &mut out)?;
        out.flush()?;
        Ok(match report {
            _ if !report.problems.is_empty() => Outcome::Failed,
            _ if report.fails() => Outcome::Found,
            _ => Outcome::Clean,
        })
    }
}

/// Checks every tune file under `paths`, and the `lope.toml` of every book they belong to.
pub fn check(paths: &[PathBuf], input_name: &Path, fail_on: Level) -> Report {
    let books = Arc::new(Books::default());
    let Walked { done, mut problems } =
        files::each(paths, input_name, &books, |source| Ok(findings(&source)));
    let mut reports: Vec<FileReport> =
        done.into_iter().map(|(path, items)| FileReport { path, items }).collect();
    if reports.is_empty() && problems.is_empty() {
        problems.extend(no_tunes(paths));
    }
    reports.extend(books.met().iter().filter_map(|book| mistakes(book)));
    Report { files: reports, problems, fail_on }
}

/// A problem for each folder in `paths`, none of which holds a tune.
pub fn no_tunes(paths: &[PathBuf]) -> impl Iterator<Item = Problem> {
    let folders = paths.iter().filter(|path| path.file_name() != Some(OsStr::new(FILE_NAME)));
    folders.map(|path| Problem::new(path, "holds no tune: no file that ends in .lope"))
}

/// What is found in one file.
fn findings(source: &Source<'_>) -> Vec<Item> {
    let page = Page::read(source.text, source.settings);
    let mut findings = page.findings().peekable();
    if findings.peek().is_none() {
        return Vec::new();
    }
    let mut ruler = Ruler::new(source.text);
    findings.map(|(sheet, finding)| item(sheet, finding, &mut ruler)).collect()
}

fn item(sheet: Sheet<'_>, finding: &Finding, ruler: &mut Ruler<'_>) -> Item {
    let mut stretch = |span| ruler.stretch(sheet.bytes(span));
    let at = stretch(finding.span);
    let related = finding.related.iter();
    let related =
        related.map(|other| Remark { at: stretch(other.span), message: other.message.clone() }).collect();
    let mut repair = |mend: Mend| Repair {
        title: mend.title,
        safe: mend.safe,
        edits: mend
            .edits
            .into_iter()
            .map(|edit| Change { at: stretch(edit.span), text: edit.text })
            .collect(),
    };
    let mends = sheet.reading.mends(finding).into_iter().map(&mut repair).collect();
    Item {
        rule: finding.rule.rule().name,
        level: finding.level,
        message: finding.message.clone(),
        tune: sheet.reading.tune().header.title.clone(),
        place: Some(finding.place.clone()),
        at,
        excerpt: Excerpt::new(ruler, at),
        mends,
        related,
    }
}

/// The mistakes in the `lope.toml` of each of `books`, for where they are only by the way.
pub fn mistakes_of(books: &Books) -> Vec<Problem> {
    let reports = books.met().into_iter().filter_map(|book| mistakes(&book));
    let problems = reports.flat_map(|FileReport { path, items }| {
        items.into_iter().map(move |item| {
            let at = Some((item.at.start.line, item.at.start.column));
            Problem { path: path.clone(), at, message: item.message }
        })
    });
    problems.collect()
}

/// The mistakes in a book's `lope.toml`, where there are any.
fn mistakes(book: &Book) -> Option<FileReport> {
    let root = book.root.as_ref().filter(|_| !book.mistakes.is_empty())?;
    let mut ruler = Ruler::new(&book.text);
    let items = book.mistakes.iter().map(|mistake| {
        let at = ruler.stretch(mistake.span.clone());
        Item {
            rule: MISTAKE,
            level: Level::Error,
            message: mistake.message.clone(),
            tune: String::new(),
            place: None,
            at,
            excerpt: Excerpt::new(&ruler, at),
            mends: Vec::new(),
            related: Vec::new(),
        }
    });
    let items = items.collect();
    Some(FileReport { path: below_here(&root.join(FILE_NAME)), items })
}

/// `path` as it is seen from the folder we are in, where it lies below that.
fn below_here(path: &Path) -> PathBuf {
    let here = std::env::current_dir().ok();
    here.and_then(|here| path.strip_prefix(here).ok()).unwrap_or(path).to_owned()
}
