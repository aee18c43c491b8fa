//! Formatting: changes blanks only.
//!
//! A text is its solid tokens with gaps between them, and [`tidy`] says what each gap should be: one blank
//! between slots, two between groups, bar lines in columns, one blank line between parts. Every token
//! stays, comments and the writer's own line breaks too, so the tune it means is the same tune.
//!
//! Absent here: opinions about music. What a bar holds, full or not, is left as it is.

mod beat;
mod columns;
mod gaps;
mod lines;
mod music;

use lope_syntax::{Span, Tree};
use lope_tune::Reading;

/// A gap that should be another: its bytes in the tune's text, and what should stand there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    /// Where it is; empty where something is missing.
    pub span: Span,
    /// The blanks and line breaks that should be there.
    pub blanks: String,
}

/// What follows a tune in its file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// Another tune: a blank line goes between.
    Tune,
    /// Nothing: the file ends with one line break.
    End,
}

/// The gaps of `text`, a tune's text read as `tree` and `reading`, that are not tidy; in order.
pub fn tidy(text: &str, tree: &Tree, reading: &Reading, next: Next) -> Vec<Gap> {
    let lines = lines::lines(tree);
    let mut gaps = gaps::Gaps::new(text);
    for block in lines::blocks(&lines) {
        gaps.block(&columns::measured(text, block, reading));
    }
    gaps.end(next)
}

#[cfg(test)]
mod tests;
