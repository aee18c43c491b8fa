//! Music from the files of others.
//!
//! Nothing is dropped silently: what is read comes with [`Remark`]s that say what was changed or left out,
//! where, and why.
//!
//! Absent here: disks. Files come and go as bytes.

pub mod musicxml;
mod remark;

pub use remark::{Place, ReadError, Remark};
