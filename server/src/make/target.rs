//! Where what is made goes.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::{Form, endings, form};
use crate::files::Problem;

/// A file, or a folder of files.
pub enum Target {
    /// One file for one tune.
    File {
        /// The file.
        path: PathBuf,
        /// What is made.
        form: &'static Form,
    },
    /// A file for every tune.
    Folder {
        /// The folder, which is there.
        folder: PathBuf,
        /// What is made.
        form: &'static Form,
    },
}

impl Target {
    /// What `out` names: a folder, which is made where it is not there, where the form of all files in it is
    /// said by `ending`; else a file, whose own ending says it.
    pub fn of(out: &Path, ending: Option<&str>) -> Result<Self, Problem> {
        if let Some(form) = ending.and_then(form) {
            if out.is_file() {
                return Err(Problem::new(out, "is a file; with --as, OUT is the folder to put the files in"));
            }
            std::fs::create_dir_all(out).map_err(|error| Problem::system(out, "make the folder", &error))?;
            return Ok(Self::Folder { folder: out.to_owned(), form });
        }
        if out.is_dir() {
            let message = "is a folder; say with --as what to make of each tune, such as --as mid";
            return Err(Problem::new(out, message));
        }
        match form(&out.extension().unwrap_or_default().to_string_lossy()) {
            Some(form) => Ok(Self::File { path: out.to_owned(), form }),
            None => {
                let message = format!("its ending says nothing that can be made: choose {}", endings());
                Err(Problem::new(out, message))
            }
        }
    }

    /// What is made.
    pub const fn form(&self) -> &'static Form {
        match self {
            Self::File { form, .. } | Self::Folder { form, .. } => form,
        }
    }

    /// The file for each tune, by its title; in a folder no two have one name.
    pub fn paths(&self, titles: &[&str]) -> Vec<PathBuf> {
        match self {
            Self::File { path, .. } => vec![path.clone()],
            Self::Folder { folder, form } => {
                let mut taken = BTreeSet::new();
                let names = titles.iter().map(|title| free(&file_name(title), &mut taken));
                names.map(|name| folder.join(format!("{name}.{}", form.ending))).collect()
            }
        }
    }
}

/// A title as the name of a file: small letters and digits with `-` between the words.
fn file_name(title: &str) -> String {
    let words = title.split(|letter: char| !letter.is_alphanumeric() && letter != '\'');
    let words = words.map(|word| word.replace('\'', "").to_lowercase()).filter(|word| !word.is_empty());
    let name = words.collect::<Vec<_>>().join("-");
    // File systems allow names of 255 bytes.
    let short: String =
        name.char_indices().take_while(|(at, _)| *at < 200).map(|(_, letter)| letter).collect();
    if short.is_empty() { "tune".to_owned() } else { short }
}

/// `name`, or the first of `name-2`, `name-3` and so on that is not `taken`.
fn free(name: &str, taken: &mut BTreeSet<String>) -> String {
    let numbered = (2..).map(|number| format!("{name}-{number}"));
    let mut names = std::iter::once(name.to_owned()).chain(numbered);
    let free = names.find(|name| !taken.contains(name)).unwrap_or_default();
    taken.insert(free.clone());
    free
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_make_names_that_any_disk_takes() {
        for (title, name) in [
            ("The Heron at Low Water", "the-heron-at-low-water"),
            ("Nobody's Step, Part 2!", "nobodys-step-part-2"),
            ("../../etc/passwd", "etc-passwd"),
            ("Über die Mole", "über-die-mole"),
            ("?!", "tune"),
            ("", "tune"),
        ] {
            assert_eq!(file_name(title), name);
        }
        assert!(file_name(&"ü".repeat(300)).len() <= 201);
    }
}
