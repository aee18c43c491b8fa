use std::io;
use std::path::PathBuf;

use clap::Args;

use super::{Outcome, output};
use crate::view::{self, Wanted};

/// Look at a tune or a book on a page that follows its files
///
/// The page is served to this machine alone and opened in the browser: the sheet, what was found in it and how to
/// mend it, and a player. It shows every change as soon as a file is saved, in whatever editor. Ctrl-C ends it.
///
/// Playing over and speeding up can hurt a hand: warm up, rest, raise the speed only when it is easy, stop at
/// pain, numbness or tingling and see a clinician, and keep the sound at a safe level.
#[derive(Args)]
pub struct View {
    /// A tune file, or a folder of them
    #[arg(value_name = "TUNE|BOOK", default_value = ".")]
    from: PathBuf,
    /// The port to listen at; one that is free where none is named
    #[arg(long, value_name = "PORT")]
    port: Option<u16>,
    /// Open nothing: the page's address is printed in any case
    #[arg(long)]
    no_open: bool,
    /// End when standard input does: for programs that start this one. A line of it is an address at which the port
    /// is handed on; the page's own is printed
    #[arg(long)]
    attached: bool,
}

impl View {
    pub fn run(self) -> io::Result<Outcome> {
        let Self { from, port, no_open, attached } = self;
        let wanted = Wanted { from, port: port.unwrap_or(0), opens: !no_open, attached };
        Ok(match view::serve(&wanted) {
            Ok(()) => Outcome::Clean,
            Err(message) => {
                output::complain(&message);
                Outcome::Failed
            }
        })
    }
}
