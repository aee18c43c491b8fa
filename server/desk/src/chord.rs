//! What tones a chord symbol names.

use lope_tune::{Pitch, class_of};

use crate::letter::spelled;

/// The tones above the root that each ending of a symbol stands for, in semitones. Common practice.
const QUALITIES: [(&str, &[u8]); 14] = [
    ("", &[0, 4, 7]),
    ("m", &[0, 3, 7]),
    ("7", &[0, 4, 7, 10]),
    ("m7", &[0, 3, 7, 10]),
    ("maj7", &[0, 4, 7, 11]),
    ("6", &[0, 4, 7, 9]),
    ("m6", &[0, 3, 7, 9]),
    ("9", &[0, 4, 7, 10, 2]),
    ("5", &[0, 7]),
    ("sus2", &[0, 2, 7]),
    ("sus4", &[0, 5, 7]),
    ("dim", &[0, 3, 6]),
    ("aug", &[0, 4, 8]),
    ("min", &[0, 3, 7]),
];

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
        let (chord, bass) =
            symbol.split_once('/').map_or((symbol, None), |(chord, bass)| (chord, Some(bass)));
        let (root, quality) = class_of(chord)?;
        let (_, above) = QUALITIES.iter().find(|(name, _)| *name == quality)?;
        let mut tones: Vec<u8> = above.iter().map(|semitones| (root + semitones) % 12).collect();
        if let Some(bass) = bass {
            let (bass, "") = class_of(bass)? else { return None };
            tones.retain(|tone| *tone != bass);
            tones.push(bass);
        }
        // F is the one natural root whose major chord and minor chord want flats for their neighbours.
        let minor = above.contains(&3);
        let flats = chord[1..].starts_with('b') || root == 5 || minor && matches!(root, 0 | 2 | 5 | 7);
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
