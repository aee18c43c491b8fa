//! What an editor or a terminal asks, in plain types.
//!
//! A [`Reading`] is all there is to know of one tune's text; a [`Page`] is a file: its tunes in a row,
//! each with its reading, kept up to date through edits by reading again only the tunes an edit
//! touched. Findings, mends, hovers, symbols and formatting are asked of these two by the editor and
//! the terminal alike, which is why they cannot disagree.
//!
//! Absent here: protocols, disks, threads.

mod line;

pub use line::{Spot, spot};
