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
    let mut spot = Spot { line: 0, column: before.len() as u32 };
    let mut line_start = 0;
    for at in memchr::memchr2_iter(b'\n', b'\r', before) {
        let ends_pair = before[at] == b'\n' && at > 0 && before[at - 1] == b'\r';
        if !ends_pair {
            spot.line += 1;
        }
        line_start = at + 1;
    }
    spot.column = (before.len() - line_start) as u32;
    spot
}
