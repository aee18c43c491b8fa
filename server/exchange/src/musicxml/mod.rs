//! MusicXML 4.0, partwise, plain or compressed (W3C Music Notation Community Group, 2021).
//!
//! Reading: [`archive`] opens what is compressed, [`document`] the score in it, [`measures`] reads one part's
//! measures as they stand, with what [`unread`] counts of what it leaves, [`sections`] finds the tune's parts, endings and pickups in their bar lines, and
//! [`skeleton`] makes a tune without notes of that; [`melody`] and [`tablature`] fill it. Writing is [`write`].

mod archive;
mod document;
mod lyrics;
mod measure;
mod measures;
mod melody;
mod sections;
mod signs;
mod skeleton;
mod sound;
mod symbol;
mod tablature;
mod unread;
mod write;
mod xml;

pub use archive::compress;
pub use melody::read;
pub use tablature::read_tab;
pub use write::{Score, Staff, write};

#[cfg(test)]
mod tests;
