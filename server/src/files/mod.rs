//! Files and folders: found, read whole, and written whole or not at all.
//!
//! Absent here: what is in the files.

mod read;
mod walk;
mod write;

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

pub use read::{Reader, cannot_read, read_standard_input};
pub use walk::{STANDARD_INPUT, Source, each, list};
pub use write::{create, put, write_whole};

/// Why a file or a folder could not be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The file or folder, as it was named or found.
    pub path: PathBuf,
    /// The line and the column in characters, both from 1, where that is known.
    pub at: Option<(u32, u32)>,
    /// What is wrong and what to do: lower case and without a stop.
    pub message: String,
}

impl Problem {
    /// A problem with the whole of `path`.
    pub fn new(path: &Path, message: impl Into<String>) -> Self {
        Self { path: path.to_owned(), at: None, message: message.into() }
    }

    /// What the system said when asked to `act` on `path`: `cannot read it: …`.
    pub fn system(path: &Path, act: &str, error: &io::Error) -> Self {
        Self::new(path, format!("cannot {act}: {}", reason(error)))
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", shown(&self.path))?;
        if let Some((line, column)) = self.at {
            write!(f, ":{line}:{column}")?;
        }
        write!(f, ": {}", self.message)
    }
}

/// A path as it is shown: with `/`, without a leading `./`.
pub fn shown(path: &Path) -> String {
    let text = path.display().to_string();
    let text = if std::path::MAIN_SEPARATOR == '\\' { text.replace('\\', "/") } else { text };
    match text.strip_prefix("./") {
        Some(rest) if !rest.is_empty() => rest.trim_start_matches('/').to_owned(),
        _ => text,
    }
}

/// A text of somebody else's as it is shown: a blank for each character that a terminal would act on.
pub fn legible(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}

/// What the system said, in words a player can act on.
pub fn reason(error: &io::Error) -> String {
    use io::ErrorKind as Kind;
    match error.kind() {
        Kind::NotFound => "there is no such file or folder".to_owned(),
        Kind::PermissionDenied => "the system does not allow it; look at its permissions".to_owned(),
        Kind::StorageFull => "the disk is full; make room and try again".to_owned(),
        Kind::QuotaExceeded => "the disk quota is used up; make room and try again".to_owned(),
        Kind::FileTooLarge => "the system allows no file that large".to_owned(),
        Kind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        Kind::AlreadyExists => "it is there already".to_owned(),
        _ => plain(&error.to_string()),
    }
}

/// `Is a directory (os error 21)` as `is a directory`.
fn plain(text: &str) -> String {
    let text = text.split(" (os error").next().unwrap_or(text);
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_shown_as_it_would_be_typed() {
        for (path, text) in [
            ("./jigs/a.lope", "jigs/a.lope"),
            ("jigs/a.lope", "jigs/a.lope"),
            (".", "."),
            ("./", "./"),
            ("../b", "../b"),
        ] {
            assert_eq!(shown(Path::new(path)), text);
        }
    }

    #[test]
    fn a_reason_has_no_number_and_no_capital() {
        assert_eq!(reason(&io::Error::from_raw_os_error(21)), "is a directory");
        assert_eq!(reason(&io::Error::from_raw_os_error(28)), "the disk is full; make room and try again");
    }
}
