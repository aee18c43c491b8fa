//! The folders the client has open, as it calls them.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tower_lsp::lsp_types::{Url, WorkspaceFolder, WorkspaceFoldersChangeEvent};

use super::index::Key;
use crate::files::shown;

/// The open folders, in the client's order.
#[derive(Clone, Default)]
pub struct Folders(Vec<Folder>);

/// An open folder.
#[derive(Clone)]
struct Folder {
    /// Its path as the client has it: it may lead over a link.
    named: PathBuf,
    /// Its path without links.
    real: PathBuf,
}

impl Folders {
    /// The folders open from the start.
    pub fn new(folders: &[WorkspaceFolder]) -> Self {
        Self(folders.iter().filter_map(Folder::new).collect())
    }

    /// Folders are opened and closed.
    pub fn change(&mut self, change: &WorkspaceFoldersChangeEvent) {
        let gone: Vec<Folder> = change.removed.iter().filter_map(Folder::new).collect();
        let added = change.added.iter().filter_map(Folder::new);
        let is_in =
            |folders: &[Folder], folder: &Folder| folders.iter().any(|other| other.named == folder.named);
        self.0.retain(|folder| !is_in(&gone, folder));
        for folder in added {
            if !is_in(&self.0, &folder) {
                self.0.push(folder);
            }
        }
    }

    /// Their paths.
    pub fn paths(&self) -> Vec<PathBuf> {
        self.0.iter().map(|folder| folder.named.clone()).collect()
    }

    /// What the file at `url` goes by: the path by which it is found in a folder, though the client may reach it
    /// by another; its own where it is in none.
    pub fn key(&self, url: &Url) -> Key {
        let Ok(path) = url.to_file_path() else { return Arc::from(OsStr::new(url.as_str())) };
        if self.0.iter().any(|folder| path.starts_with(&folder.named)) {
            return Arc::from(path.into_os_string());
        }
        let real = path.canonicalize().unwrap_or_default();
        let found =
            self.0.iter().find_map(|folder| Some(folder.named.join(real.strip_prefix(&folder.real).ok()?)));
        Arc::from(found.unwrap_or(path).into_os_string())
    }

    /// What the client calls `real`, a path without links, where it is in a folder or above one.
    pub fn name(&self, real: &Path) -> Option<PathBuf> {
        self.0.iter().find_map(|folder| {
            let below = real.strip_prefix(&folder.real).ok().map(|rest| folder.named.join(rest));
            below.or_else(|| {
                let depth = folder.real.strip_prefix(real).ok()?.components().count();
                folder.named.ancestors().nth(depth).filter(|above| is_at(above, real)).map(Path::to_owned)
            })
        })
    }

    /// `path` as it is shown: from its folder on.
    pub fn shown(&self, path: &Path) -> String {
        let below = self.0.iter().find_map(|folder| path.strip_prefix(&folder.named).ok());
        shown(below.unwrap_or(path))
    }
}

impl Folder {
    fn new(folder: &WorkspaceFolder) -> Option<Self> {
        let named = folder.uri.to_file_path().ok()?;
        let real = named.canonicalize().unwrap_or_else(|_| named.clone());
        Some(Self { named, real })
    }
}

/// Whether `path` leads to `real`, a path without links.
pub fn is_at(path: &Path, real: &Path) -> bool {
    path.canonicalize().is_ok_and(|found| found == real)
}
