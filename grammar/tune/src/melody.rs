use crate::{BarId, Duration, How, Moment, Note, Pitch, Tune};

/// A melody as it is written, before anybody has decided how a hand plays it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Melody {
    /// What it says of itself, and its frames, sections, bars and labels. No bar holds events.
    pub tune: Tune,
    /// Its key, where it says one.
    pub key: Option<Key>,
    /// The notes of all bars, in their order; none sound together.
    pub notes: Vec<MelodyNote>,
}

/// A note of a melody.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MelodyNote {
    /// The bar it begins in.
    pub bar: BarId,
    /// When it begins, from the start of the bar's slots.
    pub onset: Moment,
    /// How long it lasts within its bar; no time for a grace note that is given none, which comes before the next
    /// note of its bar.
    pub length: Duration,
    /// What it sounds.
    pub pitch: Pitch,
    /// Whether it goes on from the note before and is not sounded anew.
    pub tied: bool,
    /// Whether it is a grace note, an ornament of the next one.
    pub grace: bool,
    /// How it has to be played, where that is settled.
    pub fixed: Option<Note>,
}

/// A place on the neck and what makes it sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    /// The string, 1 to 5.
    pub string: u8,
    /// The fret, from the nut or the capo.
    pub fret: u8,
    /// What makes it sound.
    pub how: How,
}

impl From<Note> for Place {
    fn from(note: Note) -> Self {
        Self { string: note.string, fret: note.fret, how: note.how }
    }
}

/// A key: the seven pitch classes a melody is mostly made of, and the one it comes home to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    /// The pitch class it comes home to: 0 for C to 11 for B.
    pub tonic: u8,
    /// The steps from there.
    pub mode: Mode,
}

/// The seven ways of ordering the steps of a scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mode {
    /// Major.
    Ionian,
    /// Minor with a raised sixth.
    Dorian,
    /// Minor with a lowered second.
    Phrygian,
    /// Major with a raised fourth.
    Lydian,
    /// Major with a lowered seventh.
    Mixolydian,
    /// Natural minor.
    Aeolian,
    /// Minor with a lowered second and fifth.
    Locrian,
}

impl Mode {
    /// All of them, each beginning one step of the major scale further up than the one before.
    pub const ALL: [Self; 7] = [
        Self::Ionian,
        Self::Dorian,
        Self::Phrygian,
        Self::Lydian,
        Self::Mixolydian,
        Self::Aeolian,
        Self::Locrian,
    ];

    /// The semitones of its seven steps above the tonic.
    pub fn steps(self) -> [u8; 7] {
        let start = Self::ALL.iter().position(|mode| *mode == self).unwrap_or_default();
        let root = MAJOR[start];
        std::array::from_fn(|step| (MAJOR[(start + step) % 7] + 12 - root) % 12)
    }

    /// What it is called: `major`, `dorian`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ionian => "major",
            Self::Dorian => "dorian",
            Self::Phrygian => "phrygian",
            Self::Lydian => "lydian",
            Self::Mixolydian => "mixolydian",
            Self::Aeolian => "minor",
            Self::Locrian => "locrian",
        }
    }
}

/// The steps of the major scale, in semitones.
const MAJOR: [u8; 7] = [0, 2, 4, 5, 7, 9, 11];

impl Key {
    /// The key of a signature of so many sharps, or of flats where `fifths` is negative (as in MusicXML),
    /// whose scale is ordered as in `mode`.
    pub fn of_signature(fifths: i8, mode: Mode) -> Self {
        let major = (i16::from(fifths) * 7).rem_euclid(12) as u8;
        let start = Mode::ALL.iter().position(|other| *other == mode).unwrap_or_default();
        Self { tonic: (major + MAJOR[start]) % 12, mode }
    }

    /// Whether `pitch` is in its scale.
    pub fn has(self, pitch: Pitch) -> bool {
        let above = (pitch.0 % 12 + 12 - self.tonic) % 12;
        self.mode.steps().contains(&above)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn modes_are_the_major_scale_begun_elsewhere() {
        assert_eq!(Mode::Ionian.steps(), [0, 2, 4, 5, 7, 9, 11]);
        assert_eq!(Mode::Dorian.steps(), [0, 2, 3, 5, 7, 9, 10]);
        assert_eq!(Mode::Mixolydian.steps(), [0, 2, 4, 5, 7, 9, 10]);
        assert_eq!(Mode::Aeolian.steps(), [0, 2, 3, 5, 7, 8, 10]);
    }

    #[test]
    fn a_signature_and_a_mode_make_a_key() {
        let key = |fifths, mode| Key::of_signature(fifths, mode).tonic;
        assert_eq!(key(1, Mode::Ionian), 7, "one sharp: G major");
        assert_eq!(key(1, Mode::Dorian), 9, "one sharp: A dorian");
        assert_eq!(key(-1, Mode::Aeolian), 2, "one flat: D minor");
        let a_dorian = Key::of_signature(1, Mode::Dorian);
        assert!(a_dorian.has(Pitch(66)) && !a_dorian.has(Pitch(65)));
    }
}
