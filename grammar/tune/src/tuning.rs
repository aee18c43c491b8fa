use std::fmt;

use crate::{Pitch, natural};

/// The open strings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tuning {
    /// The open pitch of strings 1 to 5, in that order, without a capo.
    strings: [Pitch; 5],
}

/// Open G, `gDGBD`: G4 D3 G3 B3 D4 from string 5 to 1. Common practice.
const OPEN_G: [Pitch; 5] = [Pitch(62), Pitch(59), Pitch(55), Pitch(50), Pitch(67)];

/// The trade's names for tunings, with the notes from string 5 to 1. Common practice.
pub const NAMED: [(&str, &str); 7] = [
    ("open G", "gDGBD"),
    ("sawmill", "gDGCD"),
    ("double C", "gCGCD"),
    ("drop C", "gCGBD"),
    ("double D", "aDADE"),
    ("open D", "f#DF#AD"),
    ("G minor", "gDGBbD"),
];

impl Default for Tuning {
    fn default() -> Self {
        Self { strings: OPEN_G }
    }
}

impl Tuning {
    /// Reads a trade name, or five notes from string 5 to string 1: `double C`, `gCGCD`, `f#DF#AD`. Each
    /// note sounds in the octave nearest to that string's in open G.
    pub fn parse(text: &str) -> Option<Self> {
        let words = || text.split_whitespace();
        let named = NAMED.iter().find(|(name, _)| {
            name.split_whitespace().map(str::to_lowercase).eq(words().map(str::to_lowercase))
        });
        let notes = named.map_or(text, |(_, notes)| notes);
        let mut letters = notes.chars().filter(|letter| !letter.is_whitespace()).peekable();
        let mut strings = OPEN_G;
        for string in strings.iter_mut().rev() {
            let natural = natural(letters.next()?.to_ascii_uppercase())?;
            let class = if letters.next_if(|mark| matches!(mark, '#' | '♯')).is_some() {
                natural + 1
            } else if letters.next_if(|mark| matches!(mark, 'b' | '♭')).is_some() {
                natural + 11
            } else {
                natural
            };
            *string = nearest_octave(class, *string);
        }
        // Strings were filled from 5 down to 1 over an array that lists them from 1 up, so each met its
        // own open-G pitch.
        letters.next().is_none().then_some(Self { strings })
    }

    /// The open pitch of `string`, 1 to 5, with a capo at fret `capo`: the drone is spiked or retuned to
    /// match, so all five go up alike.
    pub fn open(&self, string: u8, capo: u8) -> Option<Pitch> {
        let at = usize::from(string.checked_sub(1)?);
        self.strings.get(at)?.up(capo)
    }

    /// What `string` sounds at `fret`, both as a player counts them: from the nut or the capo, the drone
    /// from its own peg at the fifth fret. None for a string or fret that does not exist on any neck.
    pub fn sounds(&self, string: u8, fret: u8, capo: u8) -> Option<Pitch> {
        self.open(string, capo)?.up(open_frets(string, fret)?)
    }

    /// The fret at which `string` sounds `pitch`, if it does.
    pub fn fret_of(&self, pitch: Pitch, string: u8, capo: u8) -> Option<u8> {
        let above = pitch.0.checked_sub(self.open(string, capo)?.0)?;
        Some(if string == 5 && above > 0 { above + 5 } else { above })
    }
}

/// How many semitones above its open pitch `string` sounds at `fret`. The drone's frets 1 to 5 do not
/// exist: its peg sits at the fifth.
const fn open_frets(string: u8, fret: u8) -> Option<u8> {
    match (string, fret) {
        (5, 0) => Some(0),
        (5, 1..=5) => None,
        (5, fret) => Some(fret - 5),
        (_, fret) => Some(fret),
    }
}

/// The pitch of `class` (0 for C to 11 for B) nearest to `near`; of two as near, the higher.
fn nearest_octave(class: u8, near: Pitch) -> Pitch {
    let above = (class + 12 - near.0 % 12) % 12;
    Pitch(if above <= 6 { near.0 + above } else { near.0 + above - 12 })
}

impl fmt::Display for Tuning {
    /// The notes from string 5 to string 1, the drone's in lower case.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.strings[4].letter().to_lowercase())?;
        self.strings[..4].iter().rev().try_for_each(|pitch| f.write_str(pitch.letter()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> String {
        let tuning = Tuning::parse(text).unwrap();
        [5, 4, 3, 2, 1].map(|string| tuning.open(string, 0).unwrap().to_string()).join(" ")
    }

    #[test]
    fn everyday_tunings_sound_where_players_have_them() {
        assert_eq!(names("gDGBD"), "G4 D3 G3 B3 D4");
        assert_eq!(names("sawmill"), "G4 D3 G3 C4 D4");
        assert_eq!(names("Double  c"), "G4 C3 G3 C4 D4");
        assert_eq!(names("aDADE"), "A4 D3 A3 D4 E4");
        assert_eq!(names("f#DF#AD"), "F#4 D3 F#3 A3 D4");
        assert_eq!(names("gDGBbD"), "G4 D3 G3 A#3 D4");
    }

    #[test]
    fn the_drone_starts_at_the_fifth_fret() {
        let tuning = Tuning::default();
        assert_eq!(tuning.sounds(5, 0, 0), Some(Pitch(67)));
        assert_eq!(tuning.sounds(5, 7, 0), Some(Pitch(69)));
        assert_eq!(tuning.sounds(5, 3, 0), None);
        assert_eq!(tuning.sounds(5, 7, 2), Some(Pitch(71)));
        assert_eq!(tuning.fret_of(Pitch(69), 5, 0), Some(7));
        assert_eq!(tuning.fret_of(Pitch(67), 1, 0), Some(5));
        assert_eq!(tuning.sounds(0, 0, 0), None);
        assert_eq!(tuning.sounds(6, 0, 0), None);
    }

    #[test]
    fn four_or_six_strings_are_not_a_tuning() {
        assert_eq!(Tuning::parse("DGBD"), None);
        assert_eq!(Tuning::parse("gDGBDE"), None);
        assert_eq!(Tuning::parse("gDGHD"), None);
        assert_eq!(Tuning::parse(""), None);
    }

    #[test]
    fn a_tuning_is_spelled_so_that_it_is_read_back() {
        for (_, notes) in NAMED {
            let tuning = Tuning::parse(notes).unwrap();
            assert_eq!(Tuning::parse(&tuning.to_string()), Some(tuning), "{notes}");
        }
    }
}
