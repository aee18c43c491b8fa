//! A text as an editor keeps it beside the server, changed by places that count as the protocol does.

use std::ops::Range;

/// A text, and how its places are counted.
#[derive(Clone, Debug)]
pub struct Mirror {
    /// The text.
    pub text: String,
    /// The encoding in which characters of a line count.
    pub encoding: &'static str,
}

/// A line, and a character in it.
pub type Place = (u32, u32);

impl Mirror {
    /// Puts `new` in the place of what is between two places, in whichever order they come.
    pub fn edit(&mut self, one: Place, other: Place, new: &str) {
        let [one, other] = [one, other].map(|place| self.byte(place));
        self.text.replace_range(one.min(other)..one.max(other), new);
    }

    /// The byte at a place. One that the text does not have means the nearest before it.
    pub fn byte(&self, (line, character): Place) -> usize {
        let Some(Range { start, end }) = self.lines().nth(line as usize) else { return self.text.len() };
        let mut counted = 0;
        for (at, letter) in self.text[start..end].char_indices() {
            counted += self.width(letter);
            if counted > character {
                return start + at;
            }
        }
        end
    }

    /// The place of a byte where a character starts; of one within a line break, that before the line break.
    pub fn place(&self, byte: usize) -> Place {
        let line = self.lines().take_while(|line| line.start <= byte).count() - 1;
        let Range { start, end } = self.lines().nth(line).unwrap_or_default();
        let characters = self.text[start..byte.min(end)].chars().map(|letter| self.width(letter)).sum();
        (u32::try_from(line).expect("a text of some lines"), characters)
    }

    /// The bytes of each line without its line break.
    fn lines(&self) -> impl Iterator<Item = Range<usize>> {
        let mut next = Some(0);
        std::iter::from_fn(move || {
            let start = next?;
            let rest = &self.text[start..];
            let length = rest.find(['\n', '\r']);
            next =
                length.map(|length| start + length + if rest[length..].starts_with("\r\n") { 2 } else { 1 });
            Some(start..start + length.unwrap_or(rest.len()))
        })
    }

    fn width(&self, letter: char) -> u32 {
        let width = match self.encoding {
            "utf-8" => letter.len_utf8(),
            "utf-16" => letter.len_utf16(),
            _ => 1,
        };
        u32::try_from(width).expect("a letter is small")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_where_they_are_in_every_encoding() {
        for (encoding, character) in [("utf-8", 6), ("utf-16", 3), ("utf-32", 2)] {
            let mut mirror = Mirror { text: "a\r\né🎵x\rb\n".to_owned(), encoding };
            assert_eq!(mirror.byte((1, character)), 9);
            assert_eq!(mirror.place(9), (1, character));
            assert_eq!(mirror.byte((1, 99)), 10);
            assert_eq!(mirror.byte((2, 0)), 11);
            assert_eq!([mirror.byte((3, 0)), mirror.byte((9, 9))], [13, 13]);
            mirror.edit((2, 1), (0, 1), "-");
            assert_eq!(mirror.text, "a-\n");
        }
    }
}
