//! The letters of notes, whatever their octave.

use lope_tune::Pitch;

/// The note that `text` starts with, 0 for C to 11 for B, and what follows it.
pub fn class_of(text: &str) -> Option<(u8, &str)> {
    let mut letters = text.chars();
    let natural = match letters.next()? {
        'C' => 0,
        'D' => 2,
        'E' => 4,
        'F' => 5,
        'G' => 7,
        'A' => 9,
        'B' => 11,
        _ => return None,
    };
    let rest = letters.as_str();
    Some(match rest.as_bytes() {
        [b'#', ..] => ((natural + 1) % 12, &rest[1..]),
        [b'b', ..] => ((natural + 11) % 12, &rest[1..]),
        _ => (natural, rest),
    })
}

/// The name of the note `class`, 0 for C to 11 for B.
pub const fn spelled(class: u8, flats: bool) -> &'static str {
    const FLATS: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];
    let class = class % 12;
    if flats { FLATS[class as usize] } else { Pitch(class).letter() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_are_read_with_their_sharp_or_flat() {
        assert_eq!(class_of("F#m7"), Some((6, "m7")));
        assert_eq!(class_of("Bb"), Some((10, "")));
        assert_eq!(class_of("Cb"), Some((11, "")));
        assert_eq!(class_of("g"), None);
        assert_eq!((spelled(10, true), spelled(10, false)), ("Bb", "A#"));
    }
}
