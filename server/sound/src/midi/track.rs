//! A track as it is written, event by event, into the bytes of its file.

use std::io;

use crate::Unwritable;

/// The most ticks from one event to the next: a number of four bytes of seven bits.
const LONGEST: u64 = 0xFFF_FFFF;

/// The kinds of meta events that are written.
#[derive(Clone, Copy)]
#[repr(u8)]
pub enum Meta {
    /// A chord symbol.
    Text = 0x01,
    /// The rights.
    Copyright = 0x02,
    /// What a track is called; the first one's is the title.
    Name = 0x03,
    /// Words.
    Lyric = 0x05,
    /// The name of a part.
    Marker = 0x06,
    /// Nothing comes after it.
    End = 0x2F,
    /// The microseconds of a quarter note, in three bytes.
    Tempo = 0x51,
    /// Beats, the power of two that divides a whole note, clocks to a beat, and 32nds to a quarter note.
    TimeSignature = 0x58,
    /// Sharps, or flats below zero, and whether it is minor.
    KeySignature = 0x59,
}

/// A message to a channel: its status, and one or two bytes of seven bits.
pub type Message = ([u8; 3], u8);

/// A track that goes on at the end of its file.
pub struct Track<'f> {
    file: &'f mut Vec<u8>,
    /// Where its first event begins.
    start: usize,
    now: u64,
    /// The status of the event before, which need not be said again.
    status: u8,
}

impl<'f> Track<'f> {
    /// One that begins where `file` ends.
    pub fn begin(file: &'f mut Vec<u8>) -> Self {
        file.extend_from_slice(b"MTrk\0\0\0\0");
        Self { start: file.len(), file, now: 0, status: 0 }
    }

    /// Writes a message at a tick, which is not before the last one.
    #[inline]
    pub fn message(&mut self, at: u64, (bytes, count): Message) {
        self.step_to(at);
        let (delta, length) = packed((at - self.now) as u32);
        self.now = at;
        let said = u8::from(bytes[0] == self.status);
        self.status = bytes[0];
        let [status, one, two] = bytes;
        let message = u64::from(u32::from_le_bytes([status, one, two, 0])) >> (8 * said);
        // Copied at once and cut off: lengths that vary are many times as slow to copy.
        self.file.extend_from_slice(&(delta | message << (8 * length)).to_le_bytes());
        self.file.truncate(self.file.len() - 8 + usize::from(length + count - said));
    }

    /// Writes a meta event at a tick, which is not before the last one.
    pub fn meta(&mut self, at: u64, kind: Meta, bytes: &[u8]) {
        self.step_to(at);
        self.number((at - self.now) as u32);
        self.now = at;
        self.status = 0;
        self.file.extend_from_slice(&[0xFF, kind as u8]);
        // A text that is too long for its number ends before.
        let bytes = &bytes[..bytes.len().min(LONGEST as usize)];
        self.number(bytes.len() as u32);
        self.file.extend_from_slice(bytes);
    }

    /// Ends it at a tick, or with its last event.
    pub fn end(mut self, at: u64) -> Result<(), Unwritable> {
        self.meta(at.max(self.now), Meta::End, &[]);
        let length = u32::try_from(self.file.len() - self.start).map_err(io::Error::other)?;
        self.file[self.start - 4..self.start].copy_from_slice(&length.to_be_bytes());
        Ok(())
    }

    /// Over a stretch that is longer than the form can say at once, empty texts stand as stepping stones.
    #[inline]
    fn step_to(&mut self, at: u64) {
        while at - self.now > LONGEST {
            self.now += LONGEST;
            self.number(LONGEST as u32);
            self.file.extend_from_slice(&[0xFF, Meta::Text as u8, 0]);
            self.status = 0;
        }
    }

    fn number(&mut self, number: u32) {
        let (bytes, count) = packed(number);
        self.file.extend_from_slice(&bytes.to_le_bytes()[..usize::from(count)]);
    }
}

/// A number in bytes of seven bits, of which all but the last have the eighth set: the bytes, from the lowest, and how
/// many they are.
#[inline]
fn packed(number: u32) -> (u64, u8) {
    let part = |shift: u32| u64::from(number >> shift & 0x7F);
    match number {
        0..0x80 => (part(0), 1),
        0x80..0x4000 => (part(7) | 0x80 | part(0) << 8, 2),
        0x4000..0x20_0000 => (part(14) | 0x80 | (part(7) | 0x80) << 8 | part(0) << 16, 3),
        _ => (part(21) | 0x80 | (part(14) | 0x80) << 8 | (part(7) | 0x80) << 16 | part(0) << 24, 4),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of variable-length quantities in Standard MIDI Files 1.0 (RP-001; from memory).
    #[test]
    fn numbers_are_spelled_as_in_the_standard() {
        let examples: [(u64, &[u8]); 12] = [
            (0x0, &[0x00]),
            (0x40, &[0x40]),
            (0x7F, &[0x7F]),
            (0x80, &[0x81, 0x00]),
            (0x2000, &[0xC0, 0x00]),
            (0x3FFF, &[0xFF, 0x7F]),
            (0x4000, &[0x81, 0x80, 0x00]),
            (0x10_0000, &[0xC0, 0x80, 0x00]),
            (0x1F_FFFF, &[0xFF, 0xFF, 0x7F]),
            (0x20_0000, &[0x81, 0x80, 0x80, 0x00]),
            (0x800_0000, &[0xC0, 0x80, 0x80, 0x00]),
            (0xFFF_FFFF, &[0xFF, 0xFF, 0xFF, 0x7F]),
        ];
        for (number, spelled) in examples {
            let mut file = Vec::new();
            Track::begin(&mut file).end(number).unwrap();
            let length = 3 + spelled.len() as u8;
            assert_eq!(file, [b"MTrk\0\0\0", &[length][..], spelled, &[0xFF, 0x2F, 0x00]].concat());
        }
        let mut beyond = Vec::new();
        Track::begin(&mut beyond).end(0x2000_0001).unwrap();
        let stone = [0xFF, 0xFF, 0xFF, 0x7F, 0xFF, 0x01, 0x00];
        assert_eq!(beyond[8..], [&stone[..], &stone, &[3, 0xFF, 0x2F, 0x00]].concat());
    }

    #[test]
    fn a_status_is_said_anew_where_it_is_another_or_something_came_between() {
        let mut file = Vec::new();
        let mut track = Track::begin(&mut file);
        track.message(0, ([0x90, 60, 80], 3));
        track.message(1, ([0x90, 62, 80], 3));
        track.message(1, ([0xC0, 105, 0], 2));
        track.message(1, ([0x90, 64, 80], 3));
        track.meta(1, Meta::Lyric, b"la");
        track.message(2, ([0x90, 65, 80], 3));
        track.end(0).unwrap();
        let events = [
            &[0, 0x90, 60, 80, 1, 62, 80, 0, 0xC0, 105, 0, 0x90, 64, 80][..],
            &[0, 0xFF, 5, 2, b'l', b'a', 1, 0x90, 65, 80, 0, 0xFF, 0x2F, 0],
        ];
        assert_eq!(file[8..], events.concat());
    }
}
