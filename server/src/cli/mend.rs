use std::io;

use clap::Args;
use lope_desk::{Mended, Page};

use super::Outcome;
use super::rewrite::{Files, Then};
use crate::files::shown;
use crate::report::counted;

/// Put right what can be put right with every pitch and every time kept
///
/// Files are written whole or not at all. The exit status is 0 where all was done, 2 where something could
/// not be read or written.
#[derive(Args)]
pub struct Mend {
    #[command(flatten)]
    files: Files,
    /// Show what would change, as a unified diff, and write nothing
    #[arg(long)]
    show: bool,
}

impl Mend {
    pub fn run(self) -> io::Result<Outcome> {
        let then = if self.show { Then::Show } else { Then::Write };
        let done = self.files.rewrite(then, |source| {
            let Mended { text, mends } = Mended::new(source.text, source.settings);
            let left = Page::read(&text, source.settings).findings().count();
            (text, (mends, left))
        })?;
        let verb = if self.show { "to mend" } else { "mended" };
        for (path, file) in &done.files {
            let (mended, left) = file.note;
            let left = if left > 0 { format!(", {left} left") } else { String::new() };
            if mended > 0 {
                done.remark(&format!("{}: {mended} {verb}{left}", shown(path)))?;
            }
        }
        let mended: usize = done.files.iter().map(|(_, file)| file.note.0).sum();
        let files = counted(done.files.len(), "file");
        let all = match mended {
            0 => format!("nothing to mend in {files}"),
            _ => format!("{mended} {verb} in {} of {files}", done.changed()),
        };
        done.remark(&all)?;
        Ok(if done.problems.is_empty() { Outcome::Clean } else { Outcome::Failed })
    }
}
