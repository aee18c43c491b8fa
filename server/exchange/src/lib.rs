//! Music from the files of others.
//!
//! Nothing is dropped silently: what is read comes with [`Remark`]s that say what was changed or left out,
//! where, and why.
//!
//! Absent here: disks. Files come and go as bytes.

mod label;
pub mod midi;
pub mod musicxml;
mod remark;
mod tab;
pub mod text;

use lope_tune::{Melody, Tune};

pub use remark::{Place, ReadError, Remark};

/// The largest file that is worth reading, in bytes, packed or unpacked. Scores of whole orchestras stay below it, and what
/// is made to fill the memory does not.
pub const LARGEST: u64 = 64 << 20;

/// A melody that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The melody.
    pub melody: Melody,
    /// What was changed or left out.
    pub remarks: Vec<Remark>,
}

/// A tablature that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Tab {
    /// The tune, with every string, fret and stroke as the file has it.
    pub tune: Tune,
    /// What was guessed, changed or left out.
    pub remarks: Vec<Remark>,
}
