//! Learns that files have changed: from the system, at once, and where it tells nothing, such as on a network drive,
//! by looking.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::thread;
use std::time::Duration;

use notify::event::{AccessKind, AccessMode, ModifyKind, RenameMode};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher, recommended_watcher};

use super::stand::Stand;
use crate::config::FILE_NAME;

/// How long nothing more may happen before what changed is read, where the system does not say that whoever wrote it
/// is done: editors empty a file and then fill it, or move another in its place.
const SETTLING: Duration = Duration::from_millis(8);

/// How often to look for what the system did not tell.
const LOOKING: Duration = Duration::from_secs(2);

/// Has `stand` read again what changes, for as long as what this gives is kept; the system may know no watches, and
/// then looking has to do.
pub fn begin(stand: &Arc<Stand>) -> Option<RecommendedWatcher> {
    let (changed, changes) = mpsc::channel();
    let named = Named::new(stand);
    let telling = move |event: Result<Event, notify::Error>| {
        let Ok(event) = event else { return };
        let is_done = is_done(event.kind);
        let paths = BTreeSet::from_iter(named.concerned(event));
        if !paths.is_empty() {
            // Nobody is left to be told when the program ends.
            let _ = changed.send(Change { paths, is_done });
        }
    };
    let watcher = recommended_watcher(telling).ok().map(|mut watcher| {
        for (folder, mode) in folders(stand) {
            // What cannot be watched is looked at.
            let _ = watcher.watch(&folder, mode);
        }
        watcher
    });
    let stand = Arc::clone(stand);
    thread::spawn(move || follow(&stand, &changes));
    watcher
}

/// Waits for changes, each with what soon follows it, and looks now and then.
fn follow(stand: &Stand, changes: &Receiver<Change>) {
    loop {
        let mut changed = match changes.recv_timeout(LOOKING) {
            Ok(change) => change,
            Err(RecvTimeoutError::Timeout) => Change { paths: stand.stale(), is_done: false },
            Err(RecvTimeoutError::Disconnected) => {
                thread::sleep(LOOKING);
                Change { paths: stand.stale(), is_done: false }
            }
        };
        if changed.paths.is_empty() {
            continue;
        }
        while !(changed.is_done && changed.are_full()) {
            let Ok(more) = changes.recv_timeout(SETTLING) else { break };
            changed.is_done = more.is_done;
            changed.paths.extend(more.paths);
        }
        stand.refresh(&changed.paths);
    }
}

/// Files that may have changed.
struct Change {
    paths: BTreeSet<PathBuf>,
    /// Whether the system says that whoever wrote the last of them has closed it or put it in its place.
    is_done: bool,
}

impl Change {
    /// Whether something is in each of the files: what is empty is about to be filled.
    fn are_full(&self) -> bool {
        self.paths.iter().all(|path| path.metadata().is_ok_and(|file| file.is_file() && file.len() > 0))
    }
}

/// The folders to watch. Of a single file it is the folder it is in, since editors put another file in its place;
/// where it is a link, the one of the file it leads to as well.
fn folders(stand: &Stand) -> Vec<(PathBuf, RecursiveMode)> {
    let roots = stand.roots().into_iter();
    if !stand.is_file {
        let above = roots.filter(|root| !root.starts_with(&stand.from));
        let above = above.map(|root| (root, RecursiveMode::NonRecursive));
        return std::iter::once((stand.from.clone(), RecursiveMode::Recursive)).chain(above).collect();
    }
    let real = stand.from.canonicalize().ok();
    let places = [Some(stand.from.clone()), real].into_iter().flatten();
    let folders: BTreeSet<PathBuf> =
        places.filter_map(|path| path.parent().map(Path::to_owned)).chain(roots).collect();
    folders.into_iter().map(|folder| (folder, RecursiveMode::NonRecursive)).collect()
}

/// Whether a file is whole after what happened: it was closed by who wrote it, or moved to where it is.
fn is_done(kind: EventKind) -> bool {
    matches!(
        kind,
        EventKind::Access(AccessKind::Close(AccessMode::Write))
            | EventKind::Modify(ModifyKind::Name(RenameMode::To | RenameMode::Both))
    )
}

/// What of all that happens in the watched folders matters.
struct Named {
    /// The single file that is shown, and where it leads to.
    file: Option<(PathBuf, PathBuf)>,
}

impl Named {
    fn new(stand: &Stand) -> Self {
        let real = || stand.from.canonicalize().unwrap_or_else(|_| stand.from.clone());
        Self { file: stand.is_file.then(|| (stand.from.clone(), real())) }
    }

    /// The files that `event` may have changed.
    fn concerned(&self, event: Event) -> Vec<PathBuf> {
        let changes = match event.kind {
            EventKind::Access(kind) => kind == AccessKind::Close(AccessMode::Write),
            EventKind::Create(_) | EventKind::Modify(_) | EventKind::Remove(_) => true,
            EventKind::Any | EventKind::Other => event.need_rescan(),
        };
        if !changes {
            return Vec::new();
        }
        let is_book = |path: &Path| path.file_name() == Some(OsStr::new(FILE_NAME));
        match &self.file {
            Some((file, real)) => {
                let of_file =
                    event.paths.iter().filter(|path| *path == file || *path == real || is_book(path));
                of_file.map(|path| if is_book(path) { path.clone() } else { file.clone() }).collect()
            }
            // Without an ending it may be a folder of tunes that came or went.
            None => {
                let may_matter =
                    |path: &PathBuf| is_book(path) || path.extension().is_none_or(|ending| ending == "lope");
                event.paths.into_iter().filter(may_matter).collect()
            }
        }
    }
}
