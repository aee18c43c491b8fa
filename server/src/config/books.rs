use std::collections::HashMap;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use lope_desk::Settings;

use super::{Book, FILE_NAME};

/// The books of folders, each found and read once.
#[derive(Default)]
pub struct Books {
    found: Mutex<Found>,
}

#[derive(Default)]
struct Found {
    /// By folder, as it was asked for.
    shelves: HashMap<PathBuf, Shelf>,
    /// By the folder that holds `lope.toml`; without links in its path.
    books: HashMap<PathBuf, Arc<Book>>,
    /// The same before they were read again: each as it was when it could last be read.
    before: HashMap<PathBuf, Arc<Book>>,
}

/// A folder's place in its book.
#[derive(Clone)]
pub struct Shelf {
    /// The book.
    pub book: Arc<Book>,
    /// The folder, counted from the book's root.
    folder: Arc<Path>,
}

impl Shelf {
    /// The settings for the file called `name` in the folder.
    pub fn settings(&self, name: &OsStr) -> Arc<Settings> {
        self.book.settings(&self.folder.join(name))
    }

    /// Whether the file or folder called `name` in the folder is left out of the book.
    pub fn leaves_out(&self, name: &OsStr, is_folder: bool) -> bool {
        self.book.leaves_out(&self.folder.join(name), is_folder)
    }
}

impl Books {
    /// Where `folder` stands: in the book of the nearest `lope.toml` in it or in a folder above it.
    pub fn shelf(&self, folder: &Path) -> Shelf {
        let mut found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(shelf) = found.shelves.get(folder) {
            return shelf.clone();
        }
        let shelf = found.find(folder);
        found.shelves.insert(folder.to_owned(), shelf.clone());
        shelf
    }

    /// The same books to be found and read again: one that can no longer be read stays as it was.
    pub fn again(&self) -> Self {
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        let before = found.before.iter().chain(found.books.iter().filter(|(_, book)| !book.illegible));
        let before = before.map(|(root, book)| (root.clone(), Arc::clone(book))).collect();
        Self { found: Mutex::new(Found { before, ..Found::default() }) }
    }

    /// Every book met so far that has a `lope.toml`, in the order of their roots.
    pub fn met(&self) -> Vec<Arc<Book>> {
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        let mut books: Vec<_> = found.books.values().cloned().collect();
        books.sort_by(|a, b| a.root.cmp(&b.root));
        books
    }
}

impl Found {
    fn find(&mut self, folder: &Path) -> Shelf {
        let named = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let real = named.canonicalize().unwrap_or_default();
        let Some(root) = real.ancestors().find(|above| above.join(FILE_NAME).is_file()) else {
            return Shelf { book: Arc::default(), folder: Arc::from(Path::new("")) };
        };
        let book = self
            .books
            .entry(root.to_owned())
            .or_insert_with(|| Arc::new(Book::open(root).or_as_before(self.before.get(root))));
        let below = real.strip_prefix(root).unwrap_or(Path::new(""));
        Shelf { book: Arc::clone(book), folder: Arc::from(below) }
    }
}

#[cfg(test)]
mod tests {
    use lope_desk::{Level, rule};

    use super::*;

    #[test]
    fn the_nearest_book_above_counts() {
        let folder = tempfile::tempdir().unwrap();
        let inner = folder.path().join("tunes/slow");
        std::fs::create_dir_all(&inner).unwrap();
        std::fs::write(folder.path().join(FILE_NAME), "[rules]\noff-the-neck = \"hint\"\n").unwrap();
        std::fs::write(inner.join(FILE_NAME), "[rules]\noff-the-neck = \"off\"\n").unwrap();
        let books = Books::default();
        let level = |folder: &Path| {
            let settings = books.shelf(folder).settings(OsStr::new("a.lope"));
            settings.level(rule("off-the-neck").unwrap()).map(|level| level.name())
        };
        assert_eq!(level(&folder.path().join("tunes")), Some("hint"));
        assert_eq!(level(&inner), None);
        assert_eq!(books.met().len(), 2);
    }

    #[test]
    fn a_book_that_can_no_longer_be_read_stays_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let write = |text: &str| std::fs::write(folder.path().join(FILE_NAME), text).unwrap();
        let rule = rule("off-the-neck").unwrap();
        let level = |books: &Books| books.shelf(folder.path()).settings(OsStr::new("a.lope")).level(rule);
        let said =
            |books: &Books| books.met().iter().flat_map(|book| book.mistakes.clone()).collect::<Vec<_>>();
        write("[rules]\noff-the-neck = \"hint\"\n");
        let mut books = Books::default();
        assert_eq!(level(&books), Some(Level::Hint));
        for _ in 0..2 {
            write("[rules\n");
            books = books.again();
            assert_eq!(level(&books), Some(Level::Hint));
            assert!(said(&books)[0].message.ends_with("until it is, what it said before stands"));
        }
        write("");
        books = books.again();
        assert_eq!((level(&books), said(&books)), (Some(Level::Error), Vec::new()));
    }

    #[test]
    fn a_configuration_that_cannot_be_read_is_a_mistake() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join(FILE_NAME), b"[rules]\n\xff").unwrap();
        let books = Books::default();
        books.shelf(folder.path());
        let met = books.met();
        assert_eq!(met.len(), 1);
        assert!(met[0].mistakes[0].message.contains("not UTF-8"), "{:?}", met[0].mistakes);
    }
}
