//! Music laid out to read.
//!
//! The layout turns a tune into a [`Sheet`], pages of positioned items, and writers turn that into files.
//! They share the [`frame`] and nothing else.
//!
//! Absent here: disks, and what music means.

#[cfg(test)]
mod by_hand;
pub mod font;
pub mod frame;
pub mod glyphs;
mod html;
mod layout;
mod palette;
pub mod pdf;
pub mod png;
mod reading;
mod score;
mod spelling;
mod svg;
#[cfg(test)]
mod testing;
mod text;
mod wishes;

pub use frame::Sheet;
pub use html::{Drawn, html};
pub use layout::lay;
pub use score::counted;
pub use svg::svg;
pub use text::{Plain, text};
pub use wishes::{Paper, Passage, Remark, Wishes};
