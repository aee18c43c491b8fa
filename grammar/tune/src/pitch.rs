use std::fmt;

/// A pitch as a MIDI key number: 60 is middle C, 69 is the A of 440 Hz (General MIDI; ISO 16).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pitch(pub u8);

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
    fn names_follow_scientific_pitch_notation() {
        assert_eq!(Pitch(60).to_string(), "C4");
        assert_eq!(Pitch(69).to_string(), "A4");
        assert_eq!(Pitch(54).to_string(), "F#3");
        assert_eq!(Pitch(127).up(1), None);
    }
}
