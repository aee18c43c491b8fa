//! The kit the suites share: the real program, books on disk, fixtures with marks, an editor's side of
//! the protocol, and tunes made to measure.
//!
//! The kit is test code through and through, so it says what went wrong by panicking.
//!
//! Absent here: expectations. What the program should do is said in the suites.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test kit fails by panicking")]

pub mod book;
pub mod editor;
pub mod mark;
pub mod mirror;
pub mod outline;
pub mod outside;
pub mod program;
pub mod session;
pub mod soup;
pub mod tunes;
