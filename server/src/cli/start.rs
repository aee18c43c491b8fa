use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use lope_desk::Level;

use super::{Outcome, output};
use crate::examine::examine;
use crate::files::{self, Problem, shown};

/// Write a small book of tunes to try everything on
///
/// The tunes are invented and free to use. No file that is there already is touched: where one is in the way,
/// nothing is written at all and the exit status is 2.
#[derive(Args)]
pub struct Start {
    /// The folder to write them to
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

macro_rules! book {
    ($($name:literal),* $(,)?) => {
        /// The files of the book: their names and what they hold.
        const BOOK: &[(&str, &str)] = &[$(($name, include_str!(concat!("start/book/", $name)))),*];
    };
}

book![
    "lope.toml",
    "half-a-sandwich-and-the-rain.lope",
    "mind-the-wet-step.lope",
    "nine-pegs-on-the-net-line.lope",
    "nobody-rings-the-tide-bell.lope",
    "slack-water-by-candle.lope",
    "the-closing-set.lope",
    "the-gull-that-ate-the-tide-table.lope",
    "the-heron-at-low-water.lope",
    "three-lobsters-and-a-kettle.lope",
    "when-the-pier-lamps-count-to-ten.lope",
];

impl Start {
    pub fn run(self) -> io::Result<Outcome> {
        if let Err(problem) = self.write() {
            output::complain_of(&[problem]);
            return Ok(Outcome::Failed);
        }
        let report = examine(std::slice::from_ref(&self.folder), Path::new("-"), Level::Warning);
        output::complain_of(&report.problems);
        let mut out = output::standard();
        report.write(None, &output::look(), &mut out)?;
        write!(out, "{}", what_next(&shown(&self.folder)))?;
        out.flush()?;
        Ok(if report.problems.is_empty() { Outcome::Clean } else { Outcome::Failed })
    }

    /// Writes the book, unless something is in the way.
    fn write(&self) -> Result<(), Problem> {
        let mut paths = BOOK.iter().map(|(name, text)| (self.folder.join(name), text));
        // A link that leads nowhere is there too, and would be written through.
        let mut taken = paths.clone().filter(|(path, _)| path.symlink_metadata().is_ok());
        if let Some((path, _)) = taken.next() {
            let others = match taken.count() {
                0 => String::new(),
                count => format!(", and so are {count} more of the book's files"),
            };
            let message = format!("is there already{others}; nothing was written: choose another folder");
            return Err(Problem::new(&path, message));
        }
        paths.try_for_each(|(path, text)| files::create(&path, text))
    }
}

fn what_next(folder: &str) -> String {
    format!(
        "\n\
         The book is in {folder}. Some of its tunes stumble on purpose: put right what can be with every pitch\n\
         and every time kept, and see what it does first:\n\
         \n\
         \x20   lope mend --show {folder}\n\
         \x20   lope mend {folder}\n\
         \n\
         To see each finding while you write, open a tune in an editor that speaks the Language Server\n\
         Protocol and have it start `lope lsp` for files that end in .lope. In Neovim:\n\
         \n\
         \x20   vim.filetype.add({{ extension = {{ lope = 'lope' }} }})\n\
         \x20   vim.lsp.config('lope', {{ cmd = {{ 'lope', 'lsp' }}, filetypes = {{ 'lope' }}, root_markers = {{ 'lope.toml' }} }})\n\
         \x20   vim.lsp.enable('lope')\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_book_is_the_whole_folder() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli/start/book");
        let mut there: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        let mut named: Vec<String> = BOOK.iter().map(|(name, _)| (*name).to_owned()).collect();
        there.sort();
        named.sort();
        assert_eq!(named, there);
    }
}
