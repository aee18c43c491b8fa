use std::ops::Range;

use memchr::memchr2_iter;
use serde::Serialize;

/// A place in a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Position {
    /// The line, from 1. `\n`, `\r\n` and `\r` end a line.
    pub line: u32,
    /// The column, in characters (Unicode code points), from 1. A byte order mark is none.
    pub column: u32,
    /// The byte from the start of the file, from 0.
    pub byte: u32,
}

/// A stretch of a file: from a place up to another.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Stretch {
    /// The first place in it.
    pub start: Position,
    /// The place after the last.
    pub end: Position,
}

/// Finds positions in a text.
///
/// From the last position asked for it counts on, so that many findings on one line of ten million notes
/// take no longer than reading the line a few times.
pub struct Ruler<'t> {
    text: &'t str,
    /// Where each line starts.
    starts: Vec<u32>,
    last: Position,
}

impl<'t> Ruler<'t> {
    /// A ruler along `text`.
    pub fn new(text: &'t str) -> Self {
        let bytes = text.as_bytes();
        let mark = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        let ends = memchr2_iter(b'\n', b'\r', bytes)
            .filter(|&at| !(bytes[at] == b'\r' && bytes.get(at + 1) == Some(&b'\n')))
            .map(|at| at as u32 + 1);
        let starts = std::iter::once(mark as u32).chain(ends).collect();
        Self { text, starts, last: Position { line: 1, column: 1, byte: mark as u32 } }
    }

    /// The stretch that `bytes` are.
    pub fn stretch(&mut self, bytes: Range<usize>) -> Stretch {
        Stretch { start: self.position(bytes.start as u32), end: self.position(bytes.end as u32) }
    }

    /// The position of `byte`; of the end of the text where there is no such byte.
    pub fn position(&mut self, byte: u32) -> Position {
        let byte = byte.min(self.text.len() as u32);
        let line = self.starts.partition_point(|&start| start <= byte).max(1);
        let start = self.starts[line - 1];
        let column = if line as u32 != self.last.line {
            1 + self.characters(start, byte)
        } else if byte < self.last.byte {
            self.last.column - self.characters(byte, self.last.byte)
        } else {
            self.last.column + self.characters(self.last.byte, byte)
        };
        self.last = Position { line: line as u32, column, byte };
        self.last
    }

    /// The line that `position` is on, without its end, and where in it the position is, in bytes.
    pub fn line(&self, position: Position) -> (&'t str, usize) {
        let line = position.line as usize;
        let start = self.starts.get(line - 1).map_or(0, |&start| start as usize);
        let end = self.starts.get(line).map_or(self.text.len(), |&end| end as usize);
        let text = self.text.get(start..end).unwrap_or_default().trim_end_matches(['\n', '\r']);
        (text, (position.byte as usize).saturating_sub(start).min(text.len()))
    }

    /// How many characters start from byte `from` up to byte `to`.
    fn characters(&self, from: u32, to: u32) -> u32 {
        let bytes = self.text.as_bytes().get(from as usize..to as usize).unwrap_or_default();
        bytes.iter().filter(|&&byte| !is_continuation(byte)).count() as u32
    }
}

/// Whether a byte of UTF-8 goes on with a character that an earlier byte began.
const fn is_continuation(byte: u8) -> bool {
    byte & 0b1100_0000 == 0b1000_0000
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_line_end_counts_once() {
        let mut ruler = Ruler::new("a\nb\r\nc\rd");
        let places: Vec<_> = (0..9).map(|byte| ruler.position(byte)).map(|at| (at.line, at.column)).collect();
        assert_eq!(places, [(1, 1), (1, 2), (2, 1), (2, 2), (2, 3), (3, 1), (3, 2), (4, 1), (4, 2)]);
    }

    #[test]
    fn columns_count_characters_and_no_byte_order_mark() {
        let text = "\u{feff}tune: É🪕 x\n| é 1:0";
        let mut ruler = Ruler::new(text);
        let x = ruler.position(text.find('x').unwrap() as u32);
        assert_eq!((x.line, x.column), (1, 10));
        let note = ruler.position(text.find("1:0").unwrap() as u32);
        assert_eq!((note.line, note.column), (2, 5));
        assert_eq!(ruler.position(0).column, 1);
    }

    #[test]
    fn any_order_of_asking_gives_the_same() {
        let text = "tune: ÄÖ\n| é 1:0 | 🪕\n\nlast é";
        let asked: Vec<u32> = (0..text.len() as u32 + 3).flat_map(|at| [at, (at * 7) % 31, at / 2]).collect();
        let mut walking = Ruler::new(text);
        for byte in asked {
            assert_eq!(walking.position(byte), Ruler::new(text).position(byte), "at byte {byte}");
        }
    }
}
