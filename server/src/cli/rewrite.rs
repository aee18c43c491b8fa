//! What `mend`, `tidy` and `run` share: the text of each tune file is made anew.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;
use similar::TextDiff;

use super::output;
use crate::config::Books;
use crate::examine::{mistakes_of, no_tunes};
use crate::files::{self, Problem, Source, legible, shown};

/// The files to make anew.
#[derive(Args)]
pub struct Files {
    /// Files and folders; `-` for standard input, written to standard output
    #[arg(value_name = "PATH", default_value = ".")]
    paths: Vec<PathBuf>,
    /// What to call standard input; its folder says which book it belongs to
    #[arg(long, value_name = "PATH", default_value = "-")]
    name: PathBuf,
}

/// What to do with a new text.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Then {
    /// Write it to its file; to standard output where it came by standard input.
    Write,
    /// Show how it differs.
    Show,
    /// Only tell whether it differs.
    Tell,
}

/// What came of it.
pub struct Rewritten<T> {
    /// Each file, in the order of the paths.
    pub files: Vec<(PathBuf, File<T>)>,
    /// What could not be read or written.
    pub problems: Vec<Problem>,
    /// Whether standard output holds texts or differences, and is no place for remarks.
    pub output_taken: bool,
}

/// A file made anew.
pub struct File<T> {
    /// Whether the new text differs.
    pub changes: bool,
    /// What was said in making it.
    pub note: T,
    /// What goes to standard output.
    output: String,
}

impl Files {
    /// The file at `path`, or standard input.
    pub fn one(path: PathBuf) -> Self {
        Self { paths: vec![path], name: PathBuf::from(files::STANDARD_INPUT) }
    }

    /// Makes the text of each file anew with `make`, and with the new text does what `then` says.
    pub fn rewrite<T: Send>(
        &self,
        then: Then,
        make: impl Fn(&Source<'_>) -> (String, T) + Sync,
    ) -> io::Result<Rewritten<T>> {
        let books = Arc::new(Books::default());
        let walked = files::each(&self.paths, &self.name, &books, |source| {
            let (text, note) = make(&source);
            let changes = text != source.text;
            let output = match then {
                Then::Write if source.from_input => text,
                Then::Write if changes => files::write_whole(source.path, &text).map(|()| String::new())?,
                Then::Show if changes => difference(source.path, source.text, &text),
                _ => String::new(),
            };
            Ok(File { changes, note, output })
        });
        let mut problems = walked.problems;
        if walked.done.is_empty() && problems.is_empty() {
            problems.extend(no_tunes(&self.paths));
        }
        output::complain_of(&problems);
        output::complain_of(&mistakes_of(&books));
        let mut out = output::standard();
        for (_, file) in &walked.done {
            out.write_all(file.output.as_bytes())?;
        }
        out.flush()?;
        let reads_input = self.paths.iter().any(|path| path.as_os_str() == files::STANDARD_INPUT);
        let output_taken = then == Then::Show || then == Then::Write && reads_input;
        Ok(Rewritten { files: walked.done, problems, output_taken })
    }
}

impl<T> Rewritten<T> {
    /// Says `remark` where a player sees it and no program mistakes it for a text.
    pub fn remark(&self, remark: &str) -> io::Result<()> {
        let remark = legible(remark);
        if self.output_taken {
            writeln!(io::stderr(), "{remark}")
        } else {
            writeln!(io::stdout(), "{remark}")
        }
    }

    /// How many files change.
    pub fn changed(&self) -> usize {
        self.files.iter().filter(|(_, file)| file.changes).count()
    }
}

/// How a text and a new text differ, as a unified diff.
fn difference(path: &Path, text: &str, new: &str) -> String {
    let path = shown(path);
    let diff = TextDiff::from_lines(text, new);
    let plain = diff.unified_diff().header(&path, &path).to_string();
    let look = output::look();
    let coloured = plain.split_inclusive('\n').map(|line| {
        let style = match line.as_bytes() {
            [b'-', ..] => look.error,
            [b'+', ..] => look.hint,
            _ => return line.to_owned(),
        };
        let (body, end) = line.split_at(line.trim_end_matches(['\n', '\r']).len());
        format!("{style}{body}{style:#}{end}")
    });
    coloured.collect()
}
