//! The time in bars and parts.

pub mod gait_misfit;
pub mod long_bar;
pub mod nothing_to_hold;
pub mod off_time;
pub mod part_length;
pub mod pickup_unpaid;
pub mod short_bar;

mod fill;
mod group;
mod joint;
mod note_value;

#[cfg(test)]
mod laws;
