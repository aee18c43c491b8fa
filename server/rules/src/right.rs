//! The right hand.

pub mod extra_strike;
pub mod far_thumb;
pub mod fast_falls;
pub mod off_strike;
pub mod thumb_crosses;
pub mod thumb_on_first;
pub mod thumb_unplanted;
