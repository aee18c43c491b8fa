//! What one run of the server has open.

mod asking;

use std::collections::HashMap;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock};
use std::thread;

use tokio::runtime::Handle;
use tokio::sync::Semaphore;
use tokio::task::spawn_blocking;
use tower_lsp::Client;
use tower_lsp::lsp_types::{ProgressToken, TextDocumentContentChangeEvent, Url};

use super::READERS;
use super::books::OpenBooks;
use super::features::Features;
use super::index::{Index, scan};
use super::lock;
use super::open_file::OpenFile;
use super::options::Known;
use super::outgoing::Outgoing;
use super::progress::Cancels;

/// The open files and what is needed to read them.
pub struct Session {
    /// The way to the client.
    pub out: Outgoing,
    /// The books the files are in.
    pub books: OpenBooks,
    /// What the client's user has set.
    pub options: Known,
    /// All files of the open folders.
    pub index: Index,
    /// What the client may say need not go on.
    pub cancels: Cancels,
    features: OnceLock<Features>,
    files: Mutex<HashMap<Url, Arc<OpenFile>>>,
    /// The client, once it may be asked things, and the runtime on which they are asked.
    client: OnceLock<(Client, Handle)>,
    /// A turn to be answered, kept until the answer is there: answers do not pile up, and a question does not
    /// stand in the way of a check.
    turns: Semaphore,
    /// The client is being told that findings are others.
    refreshing: AtomicBool,
    /// Findings are others once more since it was told.
    stale: AtomicBool,
}

impl Session {
    /// A session with nothing open.
    pub fn new(out: Outgoing) -> Self {
        Self {
            out,
            books: OpenBooks::default(),
            options: Known::default(),
            index: Index::default(),
            cancels: Cancels::default(),
            features: OnceLock::new(),
            files: Mutex::default(),
            client: OnceLock::new(),
            turns: Semaphore::new(READERS),
            refreshing: AtomicBool::new(false),
            stale: AtomicBool::new(false),
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

    /// Begins to go through the open folders. `client` may be asked things from here on. Must be called on a
    /// runtime.
    pub fn go_through_folders(self: &Arc<Self>, client: Client) {
        if self.client.set((client, Handle::current())).is_err() {
            return;
        }
        self.index.scan_again();
        let session = Arc::clone(self);
        let thread = thread::Builder::new().name("book".to_owned());
        if let Err(error) = thread.spawn(move || scan::follow(&session)) {
            self.out.warn(&format!("only open files are checked: {error}"));
        }
    }

    /// Asks the client something in a task of its own: it may never answer, and an answer that nobody waits for
    /// any more would be a panic in the service.
    pub fn ask_client<F: Future<Output = ()> + Send + 'static>(&self, ask: impl FnOnce(Client) -> F) {
        if let Some((client, runtime)) = self.client.get() {
            runtime.spawn(ask(client.clone()));
        }
    }

    /// The client says that what it calls `token` need not go on.
    pub fn cancel(&self, token: &ProgressToken) {
        self.cancels.cancel(token);
        self.index.wake_waiting();
    }

    /// Opens the file at `url`, or opens it again with another text.
    pub fn open(self: &Arc<Self>, url: Url, text: &str, version: i32) {
        let file = Arc::new(OpenFile::new(url.clone(), text, version));
        self.index.open(self, &url);
        if let Some(before) = self.files().insert(url, Arc::clone(&file)) {
            before.close();
        }
        self.check(file);
    }

    /// Makes edits in the file at `url`.
    pub fn edit(self: &Arc<Self>, url: &Url, edits: Vec<TextDocumentContentChangeEvent>, version: i32) {
        let Some(file) = self.file(url) else {
            return self.out.warn(&format!("a change of {url} is left out: it is not open"));
        };
        match file.edit(edits, version, self.features().encoding) {
            Ok(remarks) => {
                for remark in remarks {
                    self.out.warn(&format!("a change of {url} to version {version}: {remark}"));
                }
                self.check(file);
            }
            Err(problem) => self.out.warn(&format!("a change of {url} is left out: {problem}")),
        }
    }

    /// Closes the file at `url` and takes its findings from the client's view.
    pub fn close(&self, url: &Url) {
        let file = self.files().remove(url);
        if let Some(file) = file {
            file.close();
            if !self.features().pulls {
                file.clear(&self.out);
            }
            self.index.close(self, url);
        }
    }

    /// Files below `paths` were made, written, moved or deleted by somebody.
    pub fn changed_on_disk(&self, paths: &[impl AsRef<Path>]) {
        let below = |path: &Path| paths.iter().any(|above| path.starts_with(above));
        self.index.read_again(below);
        // What the client still holds open of them goes on being its own; but the findings were those of the file.
        let is_gone = |url: &Url| url.to_file_path().is_ok_and(|path| below(&path) && !path.exists());
        let files = self.files();
        let gone: Vec<_> =
            files.iter().filter(|(url, _)| is_gone(url)).map(|(_, file)| Arc::clone(file)).collect();
        drop(files);
        for file in gone {
            if !self.features().pulls {
                file.clear(&self.out);
            }
        }
    }

    /// The file at `url` was saved: it may be new in its folder.
    pub fn saved(&self, url: &Url) {
        if url.to_file_path().is_ok_and(|path| !self.index.lists(&path)) {
            self.index.scan_again();
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
        self.index.read_again(|_| true);
        if self.features().pulls {
            self.refresh();
        }
    }

    /// Sends the mistakes in the books that the client does not know of yet.
    pub fn show_mistakes(&self) {
        let open: Vec<Url> = self.files().keys().cloned().collect();
        self.books.show_mistakes(&open, self.features().encoding, &self.out);
    }

    /// Says anew what is found in open files where something elsewhere has changed it.
    pub fn settle(self: &Arc<Self>) {
        let (affected, any) = self.index.take_affected();
        if self.features().pulls {
            if any || !affected.is_empty() {
                self.refresh();
            }
            return;
        }
        for file in affected.iter().filter_map(|url| self.file(url)) {
            file.stir();
            self.check(file);
        }
    }

    /// Tells a client that asks for findings that they are others: once at a time, and once more where they have
    /// become others again meanwhile.
    fn refresh(self: &Arc<Self>) {
        self.stale.store(true, Ordering::SeqCst);
        if !self.features().pulls_again || self.refreshing.swap(true, Ordering::SeqCst) {
            return;
        }
        let session = Arc::clone(self);
        self.ask_client(async move |client| {
            while session.stale.swap(false, Ordering::SeqCst) {
                if client.workspace_diagnostic_refresh().await.is_err() {
                    break;
                }
            }
            session.refreshing.store(false, Ordering::SeqCst);
        });
    }

    fn check(self: &Arc<Self>, file: Arc<OpenFile>) {
        if file.wants_check() {
            let session = Arc::clone(self);
            // The scan asks for this as well, from a thread that is not of the runtime.
            let runtime = self.client.get().map(|(_, runtime)| runtime.clone());
            let job = move || {
                file.check(&session);
                session.settle();
            };
            match runtime {
                Some(runtime) => runtime.spawn_blocking(job),
                None => spawn_blocking(job),
            };
        }
    }

    fn file(&self, url: &Url) -> Option<Arc<OpenFile>> {
        self.files().get(url).cloned()
    }

    fn files(&self) -> MutexGuard<'_, HashMap<Url, Arc<OpenFile>>> {
        lock(&self.files)
    }
}
