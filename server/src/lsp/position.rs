//! Positions of the protocol in a text, in each encoding it may count in.
//!
//! Lines end at `\n`, `\r\n` and `\r`. A position that the text does not have means the nearest before
//! it: past the end of a line its end, past the last line the end of the text, within a character the
//! character (Language Server Protocol 3.17, "Position").

use ropey::{Rope, RopeSlice};
use tower_lsp::lsp_types::{Position, PositionEncodingKind, Range};

/// What a position's character counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// Bytes.
    Utf8,
    /// Code units of two bytes: what every client knows.
    #[default]
    Utf16,
    /// Characters.
    Utf32,
}

impl Encoding {
    /// The one to use with a client that offers `offered`, best first: bytes need no counting, then the
    /// client's own order.
    pub fn choose(offered: &[PositionEncodingKind]) -> Self {
        let known = || offered.iter().filter_map(Self::from_kind);
        known().find(|encoding| *encoding == Self::Utf8).or_else(|| known().next()).unwrap_or_default()
    }

    fn from_kind(kind: &PositionEncodingKind) -> Option<Self> {
        [Self::Utf8, Self::Utf16, Self::Utf32].into_iter().find(|encoding| encoding.kind() == *kind)
    }

    /// Its name in the protocol.
    pub const fn kind(self) -> PositionEncodingKind {
        match self {
            Self::Utf8 => PositionEncodingKind::UTF8,
            Self::Utf16 => PositionEncodingKind::UTF16,
            Self::Utf32 => PositionEncodingKind::UTF32,
        }
    }

    /// The byte of `text` that `position` names.
    pub fn offset(self, text: &Rope, position: Position) -> usize {
        let line = position.line as usize;
        if line >= text.len_lines() {
            return text.len_bytes();
        }
        let start = text.line_to_byte(line);
        let line = without_break(text.line(line));
        let column = position.character as usize;
        start
            + match self {
                Self::Utf8 if column >= line.len_bytes() => line.len_bytes(),
                Self::Utf8 => line.char_to_byte(line.byte_to_char(column)),
                Self::Utf16 if column >= line.len_utf16_cu() => line.len_bytes(),
                Self::Utf16 => line.char_to_byte(line.utf16_cu_to_char(column)),
                Self::Utf32 => line.char_to_byte(column.min(line.len_chars())),
            }
    }

    /// The position of the byte at `offset` in `text`.
    pub fn position(self, text: &Rope, offset: usize) -> Position {
        let offset = offset.min(text.len_bytes());
        let line = text.byte_to_line(offset);
        let column = offset - text.line_to_byte(line);
        let character = match self {
            Self::Utf8 => column,
            Self::Utf16 => {
                let line = text.line(line);
                line.char_to_utf16_cu(line.byte_to_char(column))
            }
            Self::Utf32 => text.line(line).byte_to_char(column),
        };
        Position::new(line as u32, character as u32)
    }

    /// How much `text`, which has no line break, counts.
    pub fn width(self, text: &str) -> u32 {
        let width = match self {
            _ if text.is_ascii() => text.len(),
            Self::Utf8 => text.len(),
            Self::Utf16 => text.chars().map(char::len_utf16).sum(),
            Self::Utf32 => text.chars().count(),
        };
        width as u32
    }

    /// The range of the bytes in `text`.
    pub fn range(self, text: &Rope, bytes: std::ops::Range<usize>) -> Range {
        Range::new(self.position(text, bytes.start), self.position(text, bytes.end))
    }
}

fn without_break(line: RopeSlice<'_>) -> RopeSlice<'_> {
    let end = line.len_chars();
    let is = |back: usize, what: char| end >= back && line.char(end - back) == what;
    let length = match (is(1, '\n'), is(2, '\r'), is(1, '\r')) {
        (true, true, _) => 2,
        (true, ..) | (.., true) => 1,
        _ => 0,
    };
    line.slice(..end - length)
}

#[cfg(test)]
mod tests {
    use super::Encoding::{Utf8, Utf16, Utf32};
    use super::*;

    const ALL: [Encoding; 3] = [Utf8, Utf16, Utf32];

    /// Checks that each `(line, character)` names the byte beside it.
    #[track_caller]
    fn expect(encoding: Encoding, text: &str, places: &[((u32, u32), usize)]) {
        let rope = Rope::from_str(text);
        for ((line, character), offset) in places {
            let found = encoding.offset(&rope, Position::new(*line, *character));
            assert_eq!(found, *offset, "{encoding:?} {line}:{character} of {text:?}");
        }
    }

    #[test]
    fn counts_in_the_units_of_the_encoding() {
        let text = "é🎵x";
        expect(Utf8, text, &[((0, 0), 0), ((0, 2), 2), ((0, 6), 6), ((0, 7), 7)]);
        expect(Utf16, text, &[((0, 0), 0), ((0, 1), 2), ((0, 3), 6), ((0, 4), 7)]);
        expect(Utf32, text, &[((0, 0), 0), ((0, 1), 2), ((0, 2), 6), ((0, 3), 7)]);
    }

    #[test]
    fn a_piece_of_text_counts_as_much_as_its_places() {
        let widths = |text: &str| ALL.map(|encoding| encoding.width(text));
        assert_eq!(widths("é🎵x"), [7, 4, 3]);
        assert_eq!(widths("x"), [1, 1, 1]);
    }

    #[test]
    fn inside_a_character_means_before_it() {
        expect(Utf8, "é🎵x", &[((0, 1), 0), ((0, 3), 2), ((0, 5), 2)]);
        expect(Utf16, "é🎵x", &[((0, 2), 2)]);
    }

    #[test]
    fn knows_every_line_break_and_no_other() {
        for encoding in ALL {
            expect(encoding, "a\nb\r\nc\rd", &[((1, 0), 2), ((2, 0), 5), ((3, 0), 7), ((3, 1), 8)]);
            expect(encoding, "a\u{2028}b\u{85}c\u{b}d\u{c}e", &[((1, 0), 12)]);
        }
    }

    #[test]
    fn past_the_end_means_the_end() {
        for encoding in ALL {
            expect(
                encoding,
                "ab\r\ncd\re\n",
                &[((0, 9), 2), ((1, 9), 6), ((2, 9), 8), ((3, 0), 9), ((3, 5), 9)],
            );
            expect(encoding, "ab", &[((0, u32::MAX), 2), ((1, 0), 2), ((u32::MAX, u32::MAX), 2)]);
            expect(encoding, "", &[((0, 0), 0), ((0, 3), 0), ((7, 7), 0)]);
        }
    }

    #[test]
    fn a_byte_order_mark_is_a_character() {
        expect(Utf8, "\u{feff}a", &[((0, 3), 3)]);
        expect(Utf16, "\u{feff}a", &[((0, 1), 3)]);
    }

    #[test]
    fn every_place_and_back_again() {
        let text = "tune: é🎵\r\n\u{feff}x\ry\n\n🎵";
        let rope = Rope::from_str(text);
        for encoding in ALL {
            for (offset, _) in text.char_indices().filter(|(at, _)| !text[..*at].ends_with('\r')) {
                assert_eq!(encoding.offset(&rope, encoding.position(&rope, offset)), offset);
            }
        }
    }

    #[test]
    fn bytes_if_offered_else_the_clients_own_choice() {
        let choose =
            |kinds: &[Encoding]| Encoding::choose(&kinds.iter().map(|kind| kind.kind()).collect::<Vec<_>>());
        assert_eq!(choose(&[]), Utf16);
        assert_eq!(choose(&[Utf16]), Utf16);
        assert_eq!(choose(&[Utf16, Utf32, Utf8]), Utf8);
        assert_eq!(choose(&[Utf32, Utf16]), Utf32);
        assert_eq!(Encoding::choose(&[PositionEncodingKind::new("utf-7")]), Utf16);
    }
}
