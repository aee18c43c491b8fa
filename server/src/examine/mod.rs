//! Tune files to a report: each is read and checked on its own, then what only the whole book shows is added.

mod item;
mod titles;

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use lope_desk::{Level, Page};

use crate::config::{Book, Books, FILE_NAME};
use crate::files::{self, Problem, Source};
use crate::report::{FileReport, Item, Report, Ruler};
use item::{item, mistake};
use titles::Titled;

/// Checks every tune file under `paths`, and the `lope.toml` of every book they belong to. The report says that
/// the check fails at `fail_on` and above.
pub fn examine(paths: &[PathBuf], input_name: &Path, fail_on: Level) -> Report {
    let books = Arc::new(Books::default());
    let walked = files::each(paths, input_name, &books, |source| Ok(Examined::new(&source)));
    let mut files = walked.done;
    titles::compare(&mut files);
    let mut reports: Vec<FileReport> =
        files.into_iter().map(|(path, file)| FileReport { path, items: file.items }).collect();
    let mut problems = walked.problems;
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

/// What one file shows by itself.
struct Examined {
    book: Arc<Book>,
    items: Vec<Item>,
    titles: Vec<Titled>,
}

impl Examined {
    fn new(source: &Source<'_>) -> Self {
        let page = Page::read(source.text, source.settings);
        let mut ruler = Ruler::new(source.text);
        let items = page.findings().map(|(entry, finding)| item(entry, finding, &mut ruler)).collect();
        let titles = page.entries().filter_map(|entry| Titled::new(entry, &mut ruler)).collect();
        Self { book: Arc::clone(source.book), items, titles }
    }
}

/// The mistakes in a book's `lope.toml`, where there are any.
fn mistakes(book: &Book) -> Option<FileReport> {
    let root = book.root.as_ref().filter(|_| !book.mistakes.is_empty())?;
    let mut ruler = Ruler::new(&book.text);
    let items = book.mistakes.iter().map(|found| mistake(found, &mut ruler)).collect();
    Some(FileReport { path: below_here(&root.join(FILE_NAME)), items })
}

/// `path` as it is seen from the folder we are in, where it lies below that.
fn below_here(path: &Path) -> PathBuf {
    let here = std::env::current_dir().ok();
    here.and_then(|here| path.strip_prefix(here).ok()).unwrap_or(path).to_owned()
}
