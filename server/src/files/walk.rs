//! Every tune file under some paths, each handed to a function on one of several threads.

use std::collections::HashSet;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use ignore::{DirEntry, WalkBuilder, WalkState};
use lope_desk::Settings;

use super::read::cannot_read;
use super::{Problem, Reader, read_standard_input};
use crate::config::{Book, Books, FILE_NAME, Shelf};

/// What stands for standard input among paths.
pub const STANDARD_INPUT: &str = "-";

/// A tune file that has been read.
pub struct Source<'s> {
    /// Where it is, as it was named or found.
    pub path: &'s Path,
    /// Whether it came by standard input, and `path` is only what to call it.
    pub from_input: bool,
    /// What it holds.
    pub text: &'s str,
    /// The book it belongs to.
    pub book: &'s Arc<Book>,
    /// That book's settings for it.
    pub settings: &'s Arc<Settings>,
}

/// What came of a walk.
pub struct Walked<T> {
    /// What the function made of each file, in the order of the paths.
    pub done: Vec<(PathBuf, T)>,
    /// What could not be read, in the order of the paths.
    pub problems: Vec<Problem>,
}

/// Hands every tune file under `paths` to `work`.
///
/// A file that is named is read whatever it is called. Under a folder that is named, files that end in
/// `.lope` are, but for hidden ones, those a `.gitignore` keeps out of a repository and those the book
/// leaves out; a link to a file is followed, a link to a folder is not, so that no walk goes in circles.
/// `-` is standard input, which goes by `input_name`.
pub fn each<T, W>(paths: &[PathBuf], input_name: &Path, books: &Arc<Books>, work: W) -> Walked<T>
where
    T: Send,
    W: Fn(Source<'_>) -> Result<T, Problem> + Sync,
{
    let (inputs, paths): (Vec<&PathBuf>, Vec<&PathBuf>) =
        paths.iter().partition(|path| path.as_os_str() == STANDARD_INPUT);
    let gathered = Mutex::new(Gathered { done: Vec::new(), problems: Vec::new() });
    if !inputs.is_empty() {
        let mut worker = Worker::new(books, &work, &gathered);
        let outcome = worker.input(input_name);
        worker.keep(input_name.to_owned(), outcome);
    }
    if let Some(walk) = walk(&paths, books) {
        walk.build_parallel().run(|| {
            let mut worker = Worker::new(books, &work, &gathered);
            Box::new(move |entry| {
                worker.visit(entry);
                WalkState::Continue
            })
        });
    }
    let Gathered { mut done, mut problems } = gathered.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by(|(a, _), (b, _)| a.as_os_str().cmp(b.as_os_str()));
    done.dedup_by(|(a, _), (b, _)| a == b);
    problems.sort_by(|a, b| a.path.as_os_str().cmp(b.path.as_os_str()));
    problems.dedup();
    Walked { done, problems }
}

/// Where the tune files under `folders` are that [`each`] would read: each once, on the one thread that asks, for
/// whoever wants to leave the others to somebody else.
pub fn list(folders: &[PathBuf], books: &Arc<Books>) -> impl Iterator<Item = PathBuf> + use<> {
    let walk = walk(&folders.iter().collect::<Vec<_>>(), books).map(|walk| walk.build());
    let mut met = HashSet::new();
    let found = walk.into_iter().flatten().filter_map(|entry| entry.ok().filter(|entry| !is_folder(entry)));
    found.map(DirEntry::into_path).filter(move |path| is_tune(path) && met.insert(path.clone()))
}

fn walk(paths: &[&PathBuf], books: &Arc<Books>) -> Option<WalkBuilder> {
    let (first, others) = paths.split_first()?;
    let mut walk = WalkBuilder::new(first);
    for path in others {
        walk.add(path);
    }
    let books = Arc::clone(books);
    walk.threads(thread::available_parallelism().map_or(1, usize::from))
        .require_git(false)
        .ignore(false)
        .filter_entry(move |entry| is_wanted(entry, &books));
    Some(walk)
}

/// Whether a walk goes on with what it found: named paths always, below them what the book does not leave out.
fn is_wanted(entry: &DirEntry, books: &Books) -> bool {
    let is_folder = entry.file_type().is_some_and(|kind| kind.is_dir());
    if entry.depth() == 0 || !(is_folder || is_tune(entry.path())) {
        return entry.depth() == 0;
    }
    !books.shelf(folder_of(entry.path())).leaves_out(entry.file_name(), is_folder)
}

/// Whether what was found is nothing to be read.
fn is_folder(entry: &DirEntry) -> bool {
    match entry.file_type() {
        // A link: below a named folder only links to files are followed.
        Some(kind) if kind.is_symlink() => entry.path().is_dir(),
        Some(kind) if entry.depth() > 0 => !kind.is_file(),
        Some(kind) => kind.is_dir(),
        None => true,
    }
}

fn is_tune(path: &Path) -> bool {
    path.extension() == Some(OsStr::new("lope"))
}

fn folder_of(path: &Path) -> &Path {
    path.parent().unwrap_or(Path::new(""))
}

type Gathered<T> = Walked<T>;

/// What one thread works with.
struct Worker<'w, T, W> {
    books: &'w Books,
    work: &'w W,
    gathered: &'w Mutex<Gathered<T>>,
    reader: Reader,
    /// The folder met last, since files come folder by folder.
    last: Option<(PathBuf, Shelf)>,
}

impl<'w, T, W> Worker<'w, T, W>
where
    W: Fn(Source<'_>) -> Result<T, Problem>,
{
    fn new(books: &'w Books, work: &'w W, gathered: &'w Mutex<Gathered<T>>) -> Self {
        Self { books, work, gathered, reader: Reader::default(), last: None }
    }

    fn visit(&mut self, entry: Result<DirEntry, ignore::Error>) {
        let entry = match entry {
            Ok(entry) => entry,
            Err(error) => return self.refuse(&error),
        };
        if is_folder(&entry) {
            return;
        }
        let path = entry.into_path();
        if path.file_name() == Some(OsStr::new(FILE_NAME)) {
            // Its mistakes are told with those of every book that was met.
            self.shelf(folder_of(&path));
            return;
        }
        let outcome = self.file(&path);
        self.keep(path, outcome);
    }

    fn file(&mut self, path: &Path) -> Result<T, Problem> {
        let (book, settings) = self.book(path);
        let text = self.reader.read(path)?;
        (self.work)(Source { path, from_input: false, text, book: &book, settings: &settings })
    }

    fn input(&mut self, name: &Path) -> Result<T, Problem> {
        let (book, settings) = self.book(name);
        let text = read_standard_input(name)?;
        (self.work)(Source { path: name, from_input: true, text: &text, book: &book, settings: &settings })
    }

    fn book(&mut self, path: &Path) -> (Arc<Book>, Arc<Settings>) {
        let shelf = self.shelf(folder_of(path));
        let settings = shelf.settings(path.file_name().unwrap_or_default());
        (shelf.book, settings)
    }

    fn shelf(&mut self, folder: &Path) -> Shelf {
        match &self.last {
            Some((last, shelf)) if last == folder => shelf.clone(),
            _ => {
                let shelf = self.books.shelf(folder);
                self.last = Some((folder.to_owned(), shelf.clone()));
                shelf
            }
        }
    }

    fn keep(&self, path: PathBuf, outcome: Result<T, Problem>) {
        let mut gathered = self.gathered.lock().unwrap_or_else(PoisonError::into_inner);
        match outcome {
            Ok(done) => gathered.done.push((path, done)),
            Err(problem) => gathered.problems.push(problem),
        }
    }

    fn refuse(&self, error: &ignore::Error) {
        let path = path_of(error).unwrap_or(Path::new("."));
        let problem = match error.io_error() {
            Some(error) => cannot_read(path, error),
            None => Problem::new(path, format!("cannot be looked through: {error}")),
        };
        let mut gathered = self.gathered.lock().unwrap_or_else(PoisonError::into_inner);
        gathered.problems.push(problem);
    }
}

/// The path that an error of the walk is about.
fn path_of(error: &ignore::Error) -> Option<&Path> {
    match error {
        ignore::Error::WithPath { path, .. } => Some(path),
        ignore::Error::WithDepth { err, .. } | ignore::Error::WithLineNumber { err, .. } => path_of(err),
        _ => None,
    }
}
