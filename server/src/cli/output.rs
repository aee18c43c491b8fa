//! Where output goes, and how it looks there.

use std::io::{self, BufWriter, StdoutLock, Write};

use anstream::{AutoStream, ColorChoice};

use crate::files::{Problem, legible};
use crate::report::Look;

/// Standard output, written in large pieces.
pub fn standard() -> BufWriter<StdoutLock<'static>> {
    BufWriter::with_capacity(64 << 10, io::stdout().lock())
}

/// In colour on a terminal, unless the environment (`NO_COLOR` and its like) asks for none.
pub fn look() -> Look {
    match AutoStream::choice(&io::stdout()) {
        ColorChoice::Never => Look::default(),
        _ => Look::colourful(),
    }
}

/// Says on standard error what went wrong. There is nobody left to tell where that fails.
pub fn complain(message: &str) {
    let _ = writeln!(io::stderr(), "lope: {}", legible(message));
}

/// Says what could not be read or written.
pub fn complain_of(problems: &[Problem]) {
    for problem in problems {
        complain(&problem.to_string());
    }
}
