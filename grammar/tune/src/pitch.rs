use std::fmt;

/// A pitch as a MIDI key number: 60 is middle C, 69 is the A of 440 Hz (General MIDI; ISO 16).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pitch(pub u8);

/// The pitch class of `letter` without a sharp or flat, 0 for C to 11 for B; none for other than `A` to `G`.
pub const fn natural(letter: char) -> Option<u8> {
    Some(match letter {
        'C' => 0,
        'D' => 2,
        'E' => 4,
        'F' => 5,
        'G' => 7,
        'A' => 9,
        'B' => 11,
        _ => return None,
    })
}

/// The pitch class of the note that `text` starts with, 0 for C to 11 for B, and what follows it: a capital
/// letter, with `#` or `b` where it has one.
pub fn class_of(text: &str) -> Option<(u8, &str)> {
    let mut letters = text.chars();
    let natural = natural(letters.next()?)?;
    let rest = letters.as_str();
    Some(match rest.as_bytes() {
        [b'#', ..] => ((natural + 1) % 12, &rest[1..]),
        [b'b', ..] => ((natural + 11) % 12, &rest[1..]),
        _ => (natural, rest),
    })
}

impl Pitch {
    /// Its letter with a sharp where it needs one: `F#`.
    pub const fn letter(self) -> &'static str {
        const LETTERS: [&str; 12] = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];
        LETTERS[(self.0 % 12) as usize]
    }

    /// Its octave, counted so that middle C begins octave 4 (ISO 16, scientific pitch notation).
    pub const fn octave(self) -> i8 {
        (self.0 / 12) as i8 - 1
    }

    /// The pitch `semitones` above; none where MIDI has no number for it.
    pub fn up(self, semitones: u8) -> Option<Self> {
        self.0.checked_add(semitones).filter(|key| *key < 128).map(Self)
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.letter(), self.octave())
    }
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
    }

    #[test]
    fn names_follow_scientific_pitch_notation() {
        assert_eq!(Pitch(60).to_string(), "C4");
        assert_eq!(Pitch(69).to_string(), "A4");
        assert_eq!(Pitch(54).to_string(), "F#3");
        assert_eq!(Pitch(127).up(1), None);
    }
}
