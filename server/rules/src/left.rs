//! The left hand.

pub mod off_the_neck;
