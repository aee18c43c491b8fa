//! Chord symbols, as far as drones and brushes ask.

use lope_tune::{Key, Pitch, class_of};

/// The pitch classes that fit at a moment, one bit each from C.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chord(u16);

impl Chord {
    /// The chord that `symbol` names: a letter, `#` or `b`, then `m` or `min`, `dim`,
    /// `aug`, `sus4`, `7` and the like, of which what changes no note of the triad is passed over.
    pub fn parse(symbol: &str) -> Option<Self> {
        let (root, rest) = class_of(symbol)?;
        let minor = rest.starts_with('m') && !rest.starts_with("maj");
        let third = if minor || rest.starts_with("dim") { 3 } else { 4 };
        let third = if rest.starts_with("sus4") { 5 } else { third };
        let fifth = if rest.starts_with("dim") {
            6
        } else if rest.starts_with("aug") {
            8
        } else {
            7
        };
        let triad = Self::of(&[root, root + third, root + fifth]);
        let seventh = rest.trim_start_matches('m').starts_with('7');
        Some(if seventh { Self(triad.0 | Self::of(&[root + 10]).0) } else { triad })
    }

    /// The triad on the tonic of `key`.
    pub fn of_key(key: Key) -> Self {
        let steps = key.mode.steps();
        Self::of(&[key.tonic, key.tonic + steps[2], key.tonic + steps[4]])
    }

    /// Whether `pitch` is in it, in whatever octave.
    pub const fn has(self, pitch: Pitch) -> bool {
        self.0 >> (pitch.0 % 12) & 1 == 1
    }

    fn of(classes: &[u8]) -> Self {
        Self(classes.iter().fold(0, |set, class| set | 1 << (class % 12)))
    }
}

/// `symbol` with its letter, and one after a slash, moved `up` semitones: `C#m/E`. Other text stays.
pub fn moved(symbol: &str, up: i8) -> String {
    let one = |symbol: &str| match class_of(symbol) {
        Some((class, rest)) => {
            let class = (i16::from(class) + i16::from(up)).rem_euclid(12);
            format!("{}{rest}", Pitch(class as u8).letter())
        }
        None => symbol.to_owned(),
    };
    symbol.split('/').map(one).collect::<Vec<_>>().join("/")
}

#[cfg(test)]
mod tests {
    use lope_tune::Mode;

    use super::*;

    fn classes(symbol: &str) -> Vec<u8> {
        let chord = Chord::parse(symbol).unwrap();
        (0..12).filter(|class| chord.has(Pitch(60 + class))).collect()
    }

    #[test]
    fn symbols_name_their_notes() {
        assert_eq!(classes("G"), [2, 7, 11]);
        assert_eq!(classes("Em"), [4, 7, 11]);
        assert_eq!(classes("D7"), [0, 2, 6, 9]);
        assert_eq!(classes("Am7"), [0, 4, 7, 9]);
        assert_eq!(classes("Cmaj7"), [0, 4, 7]);
        assert_eq!(classes("F#dim"), [0, 6, 9]);
        assert_eq!(Chord::parse("N.C."), None);
        let a_dorian = Chord::of_key(Key { tonic: 9, mode: Mode::Dorian });
        assert_eq!(Some(a_dorian), Chord::parse("Am"));
    }

    #[test]
    fn a_symbol_moves_with_the_melody() {
        assert_eq!(moved("C#m7/G#", 2), "D#m7/A#");
        assert_eq!(moved("Bb", -1), "A");
        assert_eq!(moved("drone", 2), "drone");
    }
}
