use crate::class_of;

/// The tones above the root that each ending of a symbol stands for, in semitones. Common practice.
const QUALITIES: [(&str, &[u8]); 21] = [
    ("", &[0, 4, 7]),
    ("m", &[0, 3, 7]),
    ("min", &[0, 3, 7]),
    ("7", &[0, 4, 7, 10]),
    ("m7", &[0, 3, 7, 10]),
    ("maj7", &[0, 4, 7, 11]),
    ("6", &[0, 4, 7, 9]),
    ("m6", &[0, 3, 7, 9]),
    ("9", &[0, 4, 7, 10, 2]),
    ("m9", &[0, 3, 7, 10, 2]),
    ("maj9", &[0, 4, 7, 11, 2]),
    ("add9", &[0, 4, 7, 2]),
    ("5", &[0, 7]),
    ("sus2", &[0, 2, 7]),
    ("sus4", &[0, 5, 7]),
    ("7sus4", &[0, 5, 7, 10]),
    ("dim", &[0, 3, 6]),
    ("dim7", &[0, 3, 6, 9]),
    ("m7b5", &[0, 3, 6, 10]),
    ("aug", &[0, 4, 8]),
    ("aug7", &[0, 4, 8, 10]),
];

/// The tones of the chord that `symbol` names, from the root up, each 0 for C to 11 for B; last the bass that
/// follows a slash, where it is another. None for a symbol of another kind: `G`, `F#m`, `Bb7`, `D/F#`.
pub fn chord_tones(symbol: &str) -> Option<Vec<u8>> {
    let (chord, bass) = symbol.split_once('/').map_or((symbol, None), |(chord, bass)| (chord, Some(bass)));
    let (root, quality) = class_of(chord)?;
    let (_, above) = QUALITIES.iter().find(|(name, _)| *name == quality)?;
    let mut tones: Vec<u8> = above.iter().map(|semitones| (root + semitones) % 12).collect();
    if let Some(bass) = bass {
        let (bass, "") = class_of(bass)? else { return None };
        tones.retain(|tone| *tone != bass);
        tones.push(bass);
    }
    Some(tones)
}

/// The endings that a chord symbol's root can have.
pub fn chord_qualities() -> impl Iterator<Item = &'static str> {
    QUALITIES.iter().map(|(name, _)| *name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_name_their_tones() {
        assert_eq!(chord_tones("D7"), Some(vec![2, 6, 9, 0]));
        assert_eq!(chord_tones("Bbm"), Some(vec![10, 1, 5]));
        assert_eq!(chord_tones("D/F#"), Some(vec![2, 9, 6]));
        assert_eq!(chord_tones("G/A"), Some(vec![7, 11, 2, 9]));
        for other in ["", "H", "Gx", "N.C.", "é", "G/", "D/F#m"] {
            assert_eq!(chord_tones(other), None, "{other}");
        }
    }
}
