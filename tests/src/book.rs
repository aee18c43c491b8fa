//! Books on disk that last as long as the test.

use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use crate::program::{self, Ran, root};

/// A folder of tunes.
#[derive(Debug)]
pub struct Book {
    folder: TempDir,
}

impl Default for Book {
    fn default() -> Self {
        Self::new()
    }
}

impl Book {
    /// An empty folder.
    pub fn new() -> Self {
        Self { folder: tempfile::tempdir().expect("a temporary folder can be made") }
    }

    /// A folder that holds `files`: a path and what is in it.
    pub fn of<T: AsRef<[u8]>>(files: &[(&str, T)]) -> Self {
        let book = Self::new();
        for (path, text) in files {
            book.write(path, text);
        }
        book
    }

    /// Where it is, without symbolic links.
    pub fn folder(&self) -> PathBuf {
        fs::canonicalize(self.folder.path()).expect("the folder is there")
    }

    /// Where `path` of this book is.
    pub fn path(&self, path: &str) -> PathBuf {
        self.folder().join(path)
    }

    /// The address an editor gives to `path`.
    pub fn uri(&self, path: &str) -> String {
        uri(&self.path(path))
    }

    /// Writes a file, and the folders it is in.
    pub fn write(&self, path: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path(path);
        fs::create_dir_all(path.parent().expect("a file is in a folder")).expect("folders can be made");
        fs::write(&path, text).expect("a file can be written");
        path
    }

    /// What is in a file, which must be UTF-8.
    pub fn read(&self, path: &str) -> String {
        fs::read_to_string(self.path(path)).unwrap_or_else(|error| panic!("cannot read {path}: {error}"))
    }

    /// Runs `lope` in the folder.
    pub fn run(&self, args: &[&str]) -> Ran {
        program::run(&self.folder(), args)
    }
}

/// The texts of the demo book's tunes.
pub fn demo() -> Vec<String> {
    let book = fs::read_dir(root().join("server/src/cli/start/book")).expect("the book is there");
    let files = book.map(|file| file.expect("a folder can be read").path());
    let tunes = files.filter(|path| path.extension().is_some_and(|ending| ending == "lope"));
    let texts: Vec<_> = tunes.map(|path| fs::read_to_string(path).expect("a tune can be read")).collect();
    assert!(!texts.is_empty(), "the book has tunes");
    texts
}

/// The `file:` address of an absolute path, with all but plain characters escaped.
pub fn uri(path: &Path) -> String {
    let mut uri = String::from("file://");
    for &byte in path.as_os_str().as_encoded_bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'/' | b'-' | b'_' | b'.' | b'~' => {
                uri.push(byte.into())
            }
            _ => uri.push_str(&format!("%{byte:02X}")),
        }
    }
    uri
}
