//! Music laid out to read.
//!
//! The layout turns a tune into a [`Sheet`], pages of positioned items, and writers turn that into files.
//! They share the [`frame`] and nothing else.
//!
//! Absent here: disks, and what music means.

pub mod frame;

pub use frame::Sheet;
