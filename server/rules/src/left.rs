//! The left hand.

pub mod hard_reach;
pub mod off_the_neck;
pub mod same_string_twice;
pub mod slur_from_nothing;
pub mod wrong_way;
