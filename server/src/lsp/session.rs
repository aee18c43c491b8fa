//! What one run of the server has open.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock};

use tokio::task::spawn_blocking;
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::{TextDocumentContentChangeEvent, Url};

use super::books::OpenBooks;
use super::features::Features;
use super::lock;
use super::open_file::OpenFile;
use super::options::Known;
use super::outgoing::Outgoing;
use super::snapshot::View;

/// The open files and what is needed to read them.
pub struct Session {
    /// The way to the client.
    pub out: Outgoing,
    /// The books the files are in.
    pub books: OpenBooks,
    /// What the client's user has set.
    pub options: Known,
    features: OnceLock<Features>,
    files: Mutex<HashMap<Url, Arc<OpenFile>>>,
}

impl Session {
    /// A session with nothing open.
    pub fn new(out: Outgoing) -> Self {
        Self {
            out,
            books: OpenBooks::default(),
            options: Known::default(),
            features: OnceLock::new(),
            files: Mutex::default(),
        }
    }

    /// Remembers what the client can do: the first time it says so.
    pub fn begin(&self, features: Features) {
        let _ = self.features.set(features);
    }

    /// What the client can do.
    pub fn features(&self) -> &Features {
        self.features.get_or_init(Features::default)
    }

    /// Opens the file at `url`, or opens it again with another text.
    pub fn open(self: &Arc<Self>, url: Url, text: &str, version: i32) {
        let file = Arc::new(OpenFile::new(url.clone(), text, version));
        if let Some(before) = self.files().insert(url, Arc::clone(&file)) {
            before.close();
        }
        self.check(file);
    }

    /// Makes edits in the file at `url`.
    pub fn edit(self: &Arc<Self>, url: &Url, edits: Vec<TextDocumentContentChangeEvent>, version: i32) {
        let Some(file) = self.file(url) else {
            return eprintln!("lope lsp: {url} is changed but was not opened");
        };
        match file.edit(edits, version, self.features().encoding) {
            Ok(()) => self.check(file),
            Err(problem) => eprintln!("lope lsp: a change of {url} is left out: {problem}"),
        }
    }

    /// Closes the file at `url` and takes its findings from the client's view.
    pub fn close(&self, url: &Url) {
        if let Some(file) = self.files().remove(url) {
            file.close();
            file.clear(&self.out);
        }
    }

    /// Reads the books again, and with what they say now every open file.
    pub fn reload_books(self: &Arc<Self>) {
        self.books.reload();
        let files: Vec<_> = self.files().values().cloned().collect();
        for file in files {
            file.forget();
            self.check(file);
        }
    }

    /// Sends the mistakes in the books that the client does not know of yet.
    pub fn show_mistakes(&self) {
        let open: Vec<Url> = self.files().keys().cloned().collect();
        self.books.show_mistakes(&open, self.features().encoding, &self.out);
    }

    /// What `answer` says of the file at `url` as it is when its turn comes; nothing for a file that is not
    /// open. The answer is made on a thread for reading, and not at all once nobody waits for it.
    ///
    /// # Errors
    /// When the answer panics.
    pub async fn ask<T: Send + 'static>(
        self: &Arc<Self>,
        url: &Url,
        answer: impl FnOnce(View<'_>) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        let Some(file) = self.file(url) else { return Ok(None) };
        let session = Arc::clone(self);
        let waiting = Arc::new(());
        let asked = Arc::downgrade(&waiting);
        let job = spawn_blocking(move || {
            asked.upgrade()?;
            file.with_view(&session, answer)?
        });
        let answer = job.await.map_err(|_| Error::internal_error());
        drop(waiting);
        answer
    }

    /// What `answer` says of every open file, in the order of their names.
    ///
    /// # Errors
    /// When the answer panics.
    pub async fn ask_all<T: Send + 'static>(
        self: &Arc<Self>,
        answer: impl Fn(View<'_>) -> T + Send + 'static,
    ) -> Result<Vec<T>> {
        let mut files: Vec<(Url, Arc<OpenFile>)> =
            self.files().iter().map(|(url, file)| (url.clone(), Arc::clone(file))).collect();
        files.sort_by(|(one, _), (other, _)| one.cmp(other));
        let session = Arc::clone(self);
        let waiting = Arc::new(());
        let asked = Arc::downgrade(&waiting);
        let job = spawn_blocking(move || {
            let wanted = files.iter().take_while(|_| asked.strong_count() > 0);
            wanted.filter_map(|(_, file)| file.with_view(&session, &answer)).collect()
        });
        let answers = job.await.map_err(|_| Error::internal_error());
        drop(waiting);
        answers
    }

    fn check(self: &Arc<Self>, file: Arc<OpenFile>) {
        if file.wants_check() {
            let session = Arc::clone(self);
            spawn_blocking(move || file.check(&session));
        }
    }

    fn file(&self, url: &Url) -> Option<Arc<OpenFile>> {
        self.files().get(url).cloned()
    }

    fn files(&self) -> MutexGuard<'_, HashMap<Url, Arc<OpenFile>>> {
        lock(&self.files)
    }
}
