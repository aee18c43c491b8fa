//! Music to what each hand does.
//!
//! [`read`] says for every event of a tune where the right hand is in its gait and whether it falls
//! there, and lists what there is to judge: notes on a fall that it does not strike, strikes off the
//! fall, thumb notes with where the thumb was planted, slurs with what sounded before. [`Grip`] is what
//! the left hand holds at once.
//!
//! Absent here: text and judgement. This crate serves imported tunes unchanged, so nothing in it knows
//! tokens, spans, wording, or what is too far.

#![deny(clippy::float_arithmetic)]

mod falls;
mod gaps;
mod grip;
mod group;
mod motion;
mod pace;
mod read;
mod runs;

pub use gaps::Gap;
pub use grip::Grip;
pub use group::Group;
pub use motion::{Fell, Hand, Motion, Plant, Slur, Stray, Strings, Thumb, Unstruck};
pub use read::read;

#[cfg(test)]
mod tests;
