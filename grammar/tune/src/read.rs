use lope_syntax::Tree;

use crate::{Defaults, Issue, Source, Tune};

/// A tune, where it was written, and what in its text makes no music.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// The music.
    pub tune: Tune,
    /// Where each piece of it was written.
    pub source: Source,
    /// What the text says that does not make music, in the order of the text.
    pub issues: Vec<Issue>,
}

/// Reads the music in `tree`, the tree of `text`, with `defaults` for fields it leaves out.
pub fn read(text: &str, tree: &Tree, defaults: &Defaults) -> Reading {
    let _ = (text, tree, defaults);
    Reading::default()
}
