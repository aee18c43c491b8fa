/// A place in a text: a line and a byte in it, both from 0. `\n`, `\r\n` and `\r` end a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spot {
    /// The line.
    pub line: u32,
    /// The byte from the start of the line.
    pub column: u32,
}

/// The spot of the byte at `offset` in `text`.
pub fn spot(text: &str, offset: u32) -> Spot {
    let before = text.get(..offset as usize).unwrap_or(text).as_bytes();
    let line_start = memchr::memrchr2(b'\n', b'\r', before).map_or(0, |at| at + 1);
    Spot { line: breaks(&before[..line_start]), column: (before.len() - line_start) as u32 }
}

/// How many lines end in `text`.
pub fn breaks(text: &[u8]) -> u32 {
    let ends = memchr::memchr2_iter(b'\n', b'\r', text);
    // The `\n` of `\r\n` ends what its `\r` has ended already.
    ends.filter(|at| text[*at] == b'\r' || *at == 0 || text[at - 1] != b'\r').count() as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_ending_counts_once() {
        let text = "a\nb\r\nc\rd";
        let spots: Vec<(u32, u32)> =
            [0, 2, 3, 5, 7, 8].map(|at| spot(text, at)).map(|s| (s.line, s.column)).into();
        assert_eq!(spots, [(0, 0), (1, 0), (1, 1), (2, 0), (3, 0), (3, 1)]);
        assert_eq!(breaks(b"\r\r\n\n"), 3);
        assert_eq!(breaks(b""), 0);
    }
}
