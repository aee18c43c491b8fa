//! `lope view`: the real program, asked over the wire as a page asks it, and its page in a real browser.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

mod answers;
mod guarded;
mod page;
mod starting;
mod turns;
mod viewed;
mod wire;

/// A jig with a pickup, two endings, and a hammer-on where the hand falls.
const JIG: &str = "\
tune: Tin Roof
kind: jig
meter: 6/8
tempo: 120

part A x2
1:0 | 3:0 t 2:0  1:0 t h2 | 3:0 t 3:0  1:0 t 2:0 | 3:0 t 2:0  1:0 t 2:0 |
  ending 1
  | 3:0 t 3:0  3:0- |
  ending 2
  | 3:0 t 2:0  3:0- |
";
