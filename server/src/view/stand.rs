//! The files that are shown, as they were last read.

use std::collections::{BTreeMap, BTreeSet};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::SystemTime;

use lope_desk::{Page, Reading};
use tokio::sync::watch;

use crate::config::{Book, Books};
use crate::examine::{mistakes_of, no_tunes};
use crate::files::{self, Problem, shown};

/// What is shown, and everybody who waits for it to change.
pub struct Stand {
    /// What the player named, from the root of the file system on.
    pub from: PathBuf,
    /// Whether that is one file.
    pub is_file: bool,
    kept: Mutex<Kept>,
    turn: watch::Sender<u64>,
}

#[derive(Default)]
struct Kept {
    books: Arc<Books>,
    files: BTreeMap<PathBuf, Arc<File>>,
    problems: Vec<Problem>,
}

/// A file that was read.
pub struct File {
    /// Its tunes.
    pub page: Page,
    /// What its text goes by: another text has another.
    pub stamp: String,
    /// What the system said of it when it was read.
    seen: Option<Seen>,
}

/// What is told apart without reading a file.
type Seen = (SystemTime, u64);

impl Stand {
    /// Reads what is at `from`, which must be there.
    pub fn open(from: &Path) -> Result<Self, Problem> {
        let path = std::path::absolute(from).map_err(|error| Problem::system(from, "find it", &error))?;
        let is_file = path.is_file();
        let stand = Self { from: path, is_file, kept: Mutex::default(), turn: watch::Sender::new(0) };
        stand.read_all();
        let kept = stand.kept();
        match kept.problems.first().filter(|_| kept.files.is_empty()) {
            // A book without a tune is one that is about to be written.
            Some(problem) if !stand.from.is_dir() => {
                Err(Problem { path: from.to_owned(), ..problem.clone() })
            }
            _ => {
                drop(kept);
                Ok(stand)
            }
        }
    }

    /// Reads again what `changed`, and tells everybody where that made a difference.
    pub fn refresh(&self, changed: &BTreeSet<PathBuf>) {
        let (before, one_by_one) = {
            let kept = self.kept();
            let known = |path: &PathBuf| kept.files.contains_key(path) && path.is_file();
            (kept.digest(), changed.iter().all(known))
        };
        if one_by_one {
            self.read_some(changed);
        } else {
            self.read_all();
        }
        if self.kept().digest() != before {
            self.turn.send_modify(|turn| *turn += 1);
        }
    }

    /// Those of the files whose time or size are others than when they were read: what the system did not tell of.
    pub fn stale(&self) -> BTreeSet<PathBuf> {
        let kept = self.kept();
        let missing =
            (self.is_file && kept.files.is_empty() && self.from.is_file()).then(|| self.from.clone());
        let stale = kept.files.iter().filter(|(path, file)| seen(path) != file.seen);
        stale.map(|(path, _)| path.clone()).chain(missing).collect()
    }

    /// Counts the changes there have been; what it gives says when there is another.
    pub fn turns(&self) -> watch::Receiver<u64> {
        self.turn.subscribe()
    }

    /// The files in the order of their names, each with what it is called here.
    pub fn files(&self) -> Vec<(String, Arc<File>)> {
        let kept = self.kept();
        kept.files.iter().map(|(path, file)| (self.name_of(path), Arc::clone(file))).collect()
    }

    /// The file called `name`, and where it is.
    pub fn file(&self, name: &str) -> Option<(PathBuf, Arc<File>)> {
        let kept = self.kept();
        let mut files = kept.files.iter();
        let (path, file) = files.find(|(path, _)| self.name_of(path) == name)?;
        Some((path.clone(), Arc::clone(file)))
    }

    /// What could not be read.
    pub fn problems(&self) -> Vec<Problem> {
        let name =
            |problem: &Problem| Problem { path: self.name_of(&problem.path).into(), ..problem.clone() };
        self.kept().problems.iter().map(name).collect()
    }

    /// The folders whose `lope.toml` counts here.
    pub fn roots(&self) -> Vec<PathBuf> {
        self.kept().books.met().iter().filter_map(|book: &Arc<Book>| book.root.clone()).collect()
    }

    /// Reads every file, with the books as they are now.
    fn read_all(&self) {
        let books = Arc::new(self.kept().books.again());
        let from = [self.from.clone()];
        let walked = files::each(&from, Path::new(""), &books, read);
        let mut problems = walked.problems;
        if walked.done.is_empty() && problems.is_empty() {
            problems.extend(no_tunes(&from));
        }
        problems.extend(mistakes_of(&books));
        *self.kept() = Kept { books, files: walked.done.into_iter().collect(), problems };
    }

    /// Reads `paths` again, with the books as they were.
    fn read_some(&self, paths: &BTreeSet<PathBuf>) {
        let books = Arc::clone(&self.kept().books);
        let walked = files::each(&paths.iter().cloned().collect::<Vec<_>>(), Path::new(""), &books, read);
        let mut kept = self.kept();
        kept.files.retain(|path, _| !paths.contains(path));
        kept.problems.retain(|problem| !paths.contains(&problem.path));
        kept.files.extend(walked.done);
        kept.problems.extend(walked.problems);
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A path as it is called here: from the book's folder on; a single file by its name.
    fn name_of(&self, path: &Path) -> String {
        let root = if self.is_file { self.from.parent() } else { Some(self.from.as_path()) };
        let below = root.and_then(|root| path.strip_prefix(root).ok());
        shown(below.filter(|below| !below.as_os_str().is_empty()).unwrap_or(path))
    }
}

impl Kept {
    /// Another number wherever a page would show something else.
    fn digest(&self) -> u64 {
        let mut hasher = DefaultHasher::new();
        for (path, file) in &self.files {
            (path, &file.stamp).hash(&mut hasher);
        }
        for problem in &self.problems {
            (&problem.path, &problem.message).hash(&mut hasher);
        }
        for book in self.books.met() {
            book.text.hash(&mut hasher);
        }
        hasher.finish()
    }
}

impl File {
    /// What `text` goes by.
    pub fn stamp_of(text: &str) -> String {
        let mut hasher = DefaultHasher::new();
        text.hash(&mut hasher);
        format!("{:016x}", hasher.finish())
    }

    /// The tune numbered `number`, from 0.
    pub fn reading(&self, number: usize) -> Option<&Arc<Reading>> {
        self.page.entries().nth(number).map(|entry| entry.reading)
    }
}

fn read(source: files::Source<'_>) -> Result<Arc<File>, Problem> {
    // Looked at first: a change in between makes it stale, and it is read once more.
    let seen = seen(source.path);
    let page = Page::read(source.text, source.settings);
    Ok(Arc::new(File { page, stamp: File::stamp_of(source.text), seen }))
}

fn seen(path: &Path) -> Option<Seen> {
    let seen = path.metadata().ok()?;
    Some((seen.modified().ok()?, seen.len()))
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use crate::config::FILE_NAME;

    fn tune(title: &str) -> String {
        format!("tune: {title}\nmeter: 6/8\n\npart A\n| 3:0 t 2:0  1:0 t 2:0 |\n")
    }

    fn titles(stand: &Stand) -> Vec<String> {
        let titles = |(name, file): &(String, Arc<File>)| {
            let title = file.reading(0).map(|reading| reading.tune().header.title.clone());
            format!("{name}: {}", title.unwrap_or_default())
        };
        stand.files().iter().map(titles).collect()
    }

    #[test]
    fn only_what_makes_a_difference_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.lope");
        fs::write(&file, tune("One")).unwrap();
        let stand = Stand::open(folder.path()).unwrap();
        let turns = stand.turns();
        let refresh = |path: &Path| stand.refresh(&BTreeSet::from([path.to_owned()]));
        refresh(&file);
        refresh(&folder.path().join("4913"));
        assert_eq!(*turns.borrow(), 0);
        fs::write(&file, tune("Two")).unwrap();
        refresh(&file);
        assert_eq!((*turns.borrow(), titles(&stand)), (1, vec!["a.lope: Two".to_owned()]));
        fs::create_dir(folder.path().join("slow")).unwrap();
        fs::write(folder.path().join("slow/b.lope"), tune("Air")).unwrap();
        refresh(&folder.path().join("slow"));
        assert_eq!(titles(&stand), ["a.lope: Two", "slow/b.lope: Air"]);
        fs::write(folder.path().join(FILE_NAME), "leave-out = [\"slow\"]\n").unwrap();
        refresh(&folder.path().join(FILE_NAME));
        assert_eq!((*turns.borrow(), titles(&stand)), (3, vec!["a.lope: Two".to_owned()]));
    }

    #[test]
    fn a_file_that_goes_is_a_problem_until_it_is_back() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("a.lope");
        fs::write(&file, tune("One")).unwrap();
        let stand = Stand::open(&file).unwrap();
        assert_eq!(stand.stale(), BTreeSet::new());
        fs::remove_file(&file).unwrap();
        assert_eq!(stand.stale(), BTreeSet::from([file.clone()]));
        stand.refresh(&stand.stale());
        let problems: Vec<String> = stand.problems().iter().map(Problem::to_string).collect();
        assert_eq!(problems, ["a.lope: cannot read it: there is no such file or folder"]);
        fs::write(&file, tune("Again")).unwrap();
        stand.refresh(&stand.stale());
        assert_eq!(titles(&stand), ["a.lope: Again"]);
        fs::write(&file, b"\xff").unwrap();
        stand.refresh(&stand.stale());
        assert_eq!((titles(&stand).len(), stand.problems().len()), (0, 1));
    }

    #[test]
    fn what_is_not_there_cannot_be_shown_but_an_empty_book_can() {
        let folder = tempfile::tempdir().unwrap();
        assert!(Stand::open(&folder.path().join("none.lope")).is_err());
        let stand = Stand::open(folder.path()).unwrap();
        assert!(stand.problems()[0].message.starts_with("holds no tune"));
    }
}
