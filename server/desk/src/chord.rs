//! What tones a chord symbol names.

use lope_tune::{Pitch, chord_tones, class_of};

use crate::letter::spelled;

/// A chord as its symbol names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chord {
    /// Its tones from the root up, each 0 for C to 11 for B; last the bass that follows a slash, where it is
    /// another.
    tones: Vec<u8>,
    /// Whether it is spelled with flats.
    flats: bool,
}

impl Chord {
    /// Reads `G`, `F#m`, `Bb7`, `D/F#`; none for a symbol of another kind.
    pub fn parse(symbol: &str) -> Option<Self> {
        let tones = chord_tones(symbol)?;
        let (root, _) = class_of(symbol)?;
        // F is the one natural root whose major chord and minor chord want flats for their neighbours.
        let minor = tones.contains(&((root + 3) % 12));
        let flats = symbol[1..].starts_with('b') || root == 5 || minor && matches!(root, 0 | 2 | 5 | 7);
        Some(Self { tones, flats })
    }

    /// Whether `pitch` is one of its tones.
    pub fn has(&self, pitch: Pitch) -> bool {
        self.tones.contains(&(pitch.0 % 12))
    }

    /// Its tones by name.
    pub fn names(&self) -> Vec<&'static str> {
        self.tones.iter().map(|tone| spelled(*tone, self.flats)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::Chord;

    #[test]
    fn symbols_name_their_tones() {
        let tones = |symbol: &str| Chord::parse(symbol).map(|chord| chord.names().join(" "));
        assert_eq!(tones("G").as_deref(), Some("G B D"));
        assert_eq!(tones("D7").as_deref(), Some("D F# A C"));
        assert_eq!(tones("Gm").as_deref(), Some("G Bb D"));
        assert_eq!(tones("Bb").as_deref(), Some("Bb D F"));
        assert_eq!(tones("F#m").as_deref(), Some("F# A C#"));
        assert_eq!(tones("D/F#").as_deref(), Some("D A F#"));
        for other in ["", "H", "Gx", "N.C.", "é", "G/", "D/F#m"] {
            assert_eq!(tones(other), None, "{other}");
        }
    }
}
