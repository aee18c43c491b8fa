use std::io;

use clap::Args;
use lope_desk::tidied;

use super::Outcome;
use super::rewrite::{Files, Then};
use crate::files::shown;
use crate::report::counted;

/// Put slots, groups and bar lines in order, by blanks alone
///
/// Files are written whole or not at all. The exit status is 0 where all was done, with --check where
/// nothing is untidy; 1 where --check finds something; 2 where something could not be read or written.
#[derive(Args)]
pub struct Tidy {
    #[command(flatten)]
    files: Files,
    /// Name the files that are not tidy, and write nothing
    #[arg(long)]
    check: bool,
}

impl Tidy {
    pub fn run(self) -> io::Result<Outcome> {
        let then = if self.check { Then::Tell } else { Then::Write };
        let done = self.files.rewrite(then, |source| (tidied(source.text, source.settings), ()))?;
        let verb = if self.check { "not tidy" } else { "tidied" };
        for (path, _) in done.files.iter().filter(|(_, file)| file.changes) {
            done.remark(&format!("{}: {verb}", shown(path)))?;
        }
        let files = counted(done.files.len(), "file");
        let changed = done.changed();
        let all = match changed {
            0 => format!("nothing to tidy in {files}"),
            _ => format!("{changed} of {files} {verb}"),
        };
        done.remark(&all)?;
        Ok(match () {
            () if !done.problems.is_empty() => Outcome::Failed,
            () if self.check && changed > 0 => Outcome::Found,
            () => Outcome::Clean,
        })
    }
}
