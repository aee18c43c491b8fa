//! The outline of a text: what stands where in it, and in what, said so that two readers can be compared.
//!
//! Names are those of the grammar for editors. An error is a row for each of its tokens, with nothing in it,
//! and music outside a part is one row: there the trees differ in how they split what is no tune.

mod editors;
mod reader;

pub use editors::{language, parse, parse_again};

use std::fmt;
use std::ops::Range;

/// One piece of a text.
#[derive(Clone, PartialEq, Eq)]
pub struct Row {
    /// How many pieces it stands in.
    pub depth: usize,
    /// What it is.
    pub name: &'static str,
    /// Its bytes in the file.
    pub bytes: Range<usize>,
}

impl fmt::Debug for Row {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, "{:width$}{} {:?}", "", self.name, self.bytes, width = 2 * self.depth)
    }
}

/// The tunes of a file as the program reads them, those left out of which it reads nothing.
pub fn of_reader(text: &str) -> Vec<Vec<Row>> {
    let tunes = lope_syntax::tunes(text).into_iter();
    tunes.map(|tune| reader::rows(&text[tune.clone()], tune.start)).filter(|rows| !rows.is_empty()).collect()
}

/// The tunes of a file as the grammar for editors reads them.
pub fn of_editors(tree: &tree_sitter::Tree) -> Vec<Vec<Row>> {
    editors::tunes(tree)
}

/// What a piece is that both leave closed.
fn is_closed(name: &str) -> bool {
    matches!(name, "error" | "stray" | "phrase_call")
}
