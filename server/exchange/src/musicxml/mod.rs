//! MusicXML 4.0, partwise, plain or compressed (W3C Music Notation Community Group, 2021).
//!
//! [`archive`] opens what is compressed, [`measures`] reads one part's measures as they stand, [`sections`]
//! finds the tune's parts, endings and pickups in their bar lines, and [`melody`] puts it together.

mod archive;
mod measures;
mod melody;
mod sections;
mod write;

pub use archive::compress;
pub use melody::{Read, read};
pub use write::{Score, Staff, write};

#[cfg(test)]
mod tests;
