//! Chord symbols, as far as drones and brushes ask.

use lope_tune::{Key, Pitch, chord_tones, class_of};

/// The pitch classes that fit at a moment, one bit each from C.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chord(u16);

impl Chord {
    /// The chord that `symbol` names. Of a symbol that nobody knows the triad is taken, major or minor as it
    /// looks.
    pub fn parse(symbol: &str) -> Option<Self> {
        if let Some(tones) = chord_tones(symbol.trim()) {
            return Some(Self::of(&tones));
        }
        let (root, rest) = class_of(symbol.trim())?;
        let minor = rest.starts_with('m') && !rest.starts_with("maj");
        Some(Self::of(&[root, root + if minor { 3 } else { 4 }, root + 7]))
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

    /// Its pitch classes.
    pub fn classes(self) -> impl Iterator<Item = u8> {
        (0..12).filter(move |class| self.has(Pitch(*class)))
    }

    fn of(classes: &[u8]) -> Self {
        Self(classes.iter().fold(0, |set, class| set | 1 << (class % 12)))
    }
}

/// `symbol` with its letter, and one after a slash, moved `up` semitones: `C#m/E`. Other text stays, and so does
/// a symbol that is moved by octaves.
pub fn moved(symbol: &str, up: i8) -> String {
    if up % 12 == 0 {
        return symbol.to_owned();
    }
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
        assert_eq!(classes("Cmaj7"), [0, 4, 7, 11]);
        assert_eq!(classes("F#dim"), [0, 6, 9]);
        assert_eq!(classes("Gm11"), [2, 7, 10], "the triad of what is not known");
        assert_eq!(Chord::parse("N.C."), None);
        let a_dorian = Chord::of_key(Key { tonic: 9, mode: Mode::Dorian });
        assert_eq!(Some(a_dorian), Chord::parse("Am"));
    }

    #[test]
    fn a_symbol_moves_with_the_melody() {
        assert_eq!(moved("C#m7/G#", 2), "D#m7/A#");
        assert_eq!(moved("Bb", -1), "A");
        assert_eq!(moved("Bb", -12), "Bb");
        assert_eq!(moved("drone", 2), "drone");
    }
}
