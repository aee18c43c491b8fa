//! The books of the open files: their settings, and the mistakes in them.

use std::collections::HashMap;
use std::ffi::OsStr;
use std::mem;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use lope_desk::Settings;
use ropey::Rope;
use tower_lsp::lsp_types::{
    Diagnostic, DiagnosticSeverity, NumberOrString, Url, WorkspaceFolder, WorkspaceFoldersChangeEvent,
};

use super::findings::{SOURCE, show};
use super::folders::{Folders, is_at};
use super::index::Key;
use super::lock;
use super::outgoing::Outgoing;
use super::position::Encoding;
use crate::config::{Book, Books, FILE_NAME, MISTAKE};
use crate::files;

/// The books, as far as open files have led to them.
#[derive(Default)]
pub struct OpenBooks {
    state: Mutex<State>,
}

#[derive(Default)]
struct State {
    books: Arc<Books>,
    folders: Folders,
    /// The mistakes the client is shown, by `lope.toml`.
    shown: HashMap<Url, Vec<Diagnostic>>,
}

impl OpenBooks {
    /// Takes note of the folders the client has open from the start.
    pub fn set_folders(&self, folders: &[WorkspaceFolder]) {
        lock(&self.state).folders = Folders::new(folders);
    }

    /// Takes note of folders the client opens and closes.
    pub fn change_folders(&self, change: &WorkspaceFoldersChangeEvent) {
        lock(&self.state).folders.change(change);
    }

    /// What the file at `url` goes by in the index.
    pub fn key(&self, url: &Url) -> Key {
        let folders = lock(&self.state).folders.clone();
        folders.key(url)
    }

    /// What a file goes by as it is shown: its path from the open folder on.
    pub fn shown(&self, key: &Key) -> String {
        lock(&self.state).folders.shown(Path::new(key))
    }

    /// The tune files in the open folders, in no order.
    pub fn files(&self) -> impl Iterator<Item = PathBuf> {
        let state = lock(&self.state);
        files::list(&state.folders.paths(), &state.books)
    }

    /// The folder of the `lope.toml` of the book that the file at `path` belongs to.
    pub fn root(&self, path: &Path) -> Option<PathBuf> {
        let books = Arc::clone(&lock(&self.state).books);
        books.shelf(path.parent()?).book.root.clone()
    }

    /// The settings for the file at `url`. One that is on no disk is taken for a file to be in the first open
    /// folder.
    pub fn settings(&self, url: &Url) -> Arc<Settings> {
        let (books, first) = {
            let state = lock(&self.state);
            (Arc::clone(&state.books), state.folders.paths().into_iter().next())
        };
        let path = url.to_file_path().ok().or_else(|| Some(first?.join("untitled.lope")));
        let place = path.as_deref().and_then(|path| Some((path.parent()?, path.file_name()?)));
        let (folder, name) = place.unwrap_or((Path::new(""), OsStr::new("")));
        if folder.as_os_str().is_empty() { Arc::default() } else { books.shelf(folder).settings(name) }
    }

    /// Forgets what the books say, so that they are read again; the last that could be read stand in for
    /// those that cannot.
    pub fn reload(&self) {
        let mut state = lock(&self.state);
        state.books = Arc::new(state.books.again());
    }

    /// Sends the mistakes of every book whose mistakes the client is not shown as they are. `open` are the
    /// files that are open: a book goes by the path they are reached by.
    pub fn show_mistakes(&self, open: &[Url], encoding: Encoding, out: &Outgoing) {
        let mut state = lock(&self.state);
        let met = state.books.met();
        let found = met.iter().filter(|book| !book.mistakes.is_empty()).filter_map(|book| {
            let url = address(book.root.as_deref()?, &state.folders, open)?;
            Some((url, diagnostics(book, encoding)))
        });
        let found: HashMap<Url, Vec<Diagnostic>> = found.collect();
        let before = mem::replace(&mut state.shown, found.clone());
        let gone = before.keys().filter(|url| !found.contains_key(url)).map(|url| (url.clone(), Vec::new()));
        let new = found.iter().filter(|(url, mistakes)| before.get(url) != Some(mistakes));
        for (url, mistakes) in gone.chain(new.map(|(url, mistakes)| (url.clone(), mistakes.clone()))) {
            show(out, &url, None, &mistakes);
        }
    }
}

/// What the client calls the `lope.toml` in `root`, a path without links: it may know the folder by one.
fn address(root: &Path, folders: &Folders, open: &[Url]) -> Option<Url> {
    let paths = open.iter().filter_map(|url| url.to_file_path().ok());
    let by_file = |path: PathBuf| path.ancestors().find(|above| is_at(above, root)).map(Path::to_owned);
    let known = folders.name(root).or_else(|| paths.into_iter().find_map(by_file));
    Url::from_file_path(known.as_deref().unwrap_or(root).join(FILE_NAME)).ok()
}

fn diagnostics(book: &Book, encoding: Encoding) -> Vec<Diagnostic> {
    let text = Rope::from_str(&book.text);
    let mistakes = book.mistakes.iter().map(|mistake| Diagnostic {
        range: encoding.range(&text, mistake.span.clone()),
        severity: Some(DiagnosticSeverity::ERROR),
        code: Some(NumberOrString::String(MISTAKE.to_owned())),
        source: Some(SOURCE.to_owned()),
        message: mistake.message.clone(),
        ..Diagnostic::default()
    });
    mistakes.collect()
}
