//! What is known of every tune file in the open folders, open in the editor or not.
//!
//! [`scan`] goes through the folders on a thread of its own and reads what is new. Open files tell their titles
//! themselves, as they are typed. So which tunes of a book share a title is known at any time; what is found in
//! files that are not open is sent, or waits to be asked for.
//!
//! Absent here: the texts. A file that is not open is read, and its text let go.

mod record;
pub mod scan;
mod state;
mod title;

use std::collections::HashSet;
use std::path::Path;
use std::sync::{Condvar, Mutex, PoisonError};

use tokio::sync::watch;
use tower_lsp::lsp_types::{Diagnostic, SymbolInformation, Url};

use self::record::Contents;
pub use self::record::{Report, result_of};
use self::scan::Listed;
use self::state::State;
pub use self::title::{Key, Placed, SAME_TITLE, Title};
use super::lock;
use super::session::Session;

/// The files of the open folders, and the open ones elsewhere.
pub struct Index {
    state: Mutex<State>,
    /// Told when a scan is wanted.
    wanted: Condvar,
    /// Told when a scan has found something or is over.
    news: watch::Sender<()>,
}

impl Default for Index {
    fn default() -> Self {
        Self { state: Mutex::default(), wanted: Condvar::new(), news: watch::channel(()).0 }
    }
}

impl Index {
    /// From here on the file at `url` speaks for itself.
    pub fn open(&self, session: &Session, url: &Url) {
        let key = session.books.key(url);
        lock(&self.state).open(session, url, key);
    }

    /// The file at `url` is again as it is on the disk, if it is there.
    pub fn close(&self, session: &Session, url: &Url) {
        if lock(&self.state).close(session, url) {
            self.scan_again();
        }
    }

    /// Takes in the titles of the open file at `url`. The findings that say that another tune has the same, each
    /// with the number of its tune.
    pub fn tell(&self, session: &Session, url: &Url, titles: Vec<Placed>) -> Vec<(usize, Diagnostic)> {
        lock(&self.state).tell(session, url, titles)
    }

    /// Open files of which there is something else to say than there was, and whether there is of any at all:
    /// since the last time somebody asked.
    pub fn take_affected(&self) -> (HashSet<Url>, bool) {
        lock(&self.state).take_affected()
    }

    /// Whether the file at `path` was found in an open folder.
    pub fn lists(&self, path: &Path) -> bool {
        lock(&self.state).files.get(path.as_os_str()).is_some_and(|record| record.listed)
    }

    /// Has the folders gone through again: whatever was read and is as it was stays.
    pub fn scan_again(&self) {
        let mut state = lock(&self.state);
        state.wanted = true;
        self.wanted.notify_all();
    }

    /// Has the folders gone through again, and the files that `stale` says read again.
    pub fn read_again(&self, stale: impl Fn(&Path) -> bool) {
        let mut state = lock(&self.state);
        state.forget(stale);
        state.wanted = true;
        self.wanted.notify_all();
    }

    /// Waits until a scan is wanted: its number.
    fn next_round(&self) -> u64 {
        let state = lock(&self.state);
        let waiting = self.wanted.wait_while(state, |state| !state.wanted);
        let mut state = waiting.unwrap_or_else(PoisonError::into_inner);
        (state.wanted, state.scanning) = (false, true);
        state.round += 1;
        state.round
    }

    /// Whether the scan numbered `round` is the newest that is wanted.
    fn is_current(&self, round: u64) -> bool {
        let state = lock(&self.state);
        state.round == round && !state.wanted
    }

    fn end_round(&self) {
        lock(&self.state).scanning = false;
        self.wake_waiting();
    }

    /// Whether more will be known soon.
    pub fn is_scanning(&self) -> bool {
        let state = lock(&self.state);
        state.wanted || state.scanning
    }

    /// Tells when a scan has found something or is over.
    pub fn news(&self) -> watch::Receiver<()> {
        self.news.subscribe()
    }

    /// Has those who wait for news look whether there is any.
    pub fn wake_waiting(&self) {
        self.news.send_replace(());
    }

    /// Takes note of which files there are: those that must be read.
    fn take_stock(&self, session: &Session, found: Vec<Listed>) -> Vec<Listed> {
        lock(&self.state).take_stock(session, found)
    }

    /// Takes in what was read of a file in the scan numbered `round`.
    fn keep(&self, session: &Session, round: u64, listed: Listed, contents: Contents) {
        let mut state = lock(&self.state);
        if state.round == round {
            state.keep(session, listed, contents);
        }
    }

    /// What there is to say of the files that are not open, as far as it changed after `tick`; and the tick to
    /// ask with the next time.
    pub fn reports_since(&self, session: &Session, tick: u64) -> (u64, Vec<Report>) {
        lock(&self.state).reports_since(session, tick)
    }

    /// What there is to say of the file at `url`, which is not open.
    pub fn report(&self, session: &Session, url: &Url) -> Option<Report> {
        lock(&self.state).report(session, &session.books.key(url))
    }

    /// That a tune of the open file at `url` has the title of an earlier one, as far as is known, each with the
    /// number of its tune.
    pub fn shared(&self, session: &Session, url: &Url) -> Vec<(usize, Diagnostic)> {
        lock(&self.state).shared_of_open(session, url)
    }

    /// Puts the tunes, parts and phrases of files that are not open whose names fit `query` with those `found`.
    pub fn search(&self, query: &str, found: &mut Vec<SymbolInformation>) {
        lock(&self.state).search(query, found);
    }

    /// Whether there is a file at `key`, open or not.
    pub fn knows(&self, key: &Key) -> bool {
        lock(&self.state).files.contains_key(key)
    }
}
