//! A melody to a setting whose right hand never leaves its gait.
//!
//! [`arrange`] tries every [`Choice`] of tuning, capo and octave that the [`Wishes`] leave open, and finds
//! for each the easiest way to play the melody: for every note a string, a fret, what sounds it and where
//! the left hand is, so that every note comes at its moment and pitch, every fall that sounds is a strike,
//! and nothing is out of reach. Easy is what [`effort`] says it is, and the search proves that no other way
//! is easier. Then the setting is dressed with drones and brushes in its [`Style`].
//!
//! The route: [`graces`] (time for ornaments), [`steps`] (what has to sound, and where the hand is then), [`ways`]
//! (how it can), [`search`] (the easiest way through), [`dress`] (the tune).
//!
//! Absent here: text, files, and whatever the melody was read from.

pub mod again;
mod choose;
mod chord;
mod dress;
pub mod effort;
mod few;
mod graces;
mod naive;
mod outline;
pub mod run;
mod search;
mod settled;
mod steps;
mod tally;
mod trouble;
mod ways;
mod wishes;

pub use choose::{Choice, Setting, arrange, tonics};
pub use naive::{Naive, naive};
pub use outline::{Sung, outline};
pub use tally::Tally;
pub use trouble::{LeftOut, NotSo, Trouble, Why};
pub use wishes::{Level, Style, Wishes};
