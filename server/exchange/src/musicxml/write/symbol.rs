//! Chord symbols.

use lope_tune::{Pitch, class_of};

use super::xml::Xml;

/// What MusicXML calls the chords that players write, the longest ending first.
const KINDS: [(&str, &str); 16] = [
    ("maj7", "major-seventh"),
    ("m7b5", "half-diminished"),
    ("dim7", "diminished-seventh"),
    ("sus4", "suspended-fourth"),
    ("sus2", "suspended-second"),
    ("dim", "diminished"),
    ("aug", "augmented"),
    ("min", "minor"),
    ("maj", "major"),
    ("m7", "minor-seventh"),
    ("m6", "minor-sixth"),
    ("m", "minor"),
    ("6", "major-sixth"),
    ("7", "dominant"),
    ("9", "dominant-ninth"),
    ("", "major"),
];

/// Writes the chord that `symbol` names, `offset` divisions after where the score stands. A symbol that names
/// none keeps its text, and sounds nothing.
pub fn write(xml: &mut Xml, symbol: &str, offset: i64) {
    let (chord, bass) = symbol.split_once('/').map_or((symbol, None), |(chord, bass)| (chord, Some(bass)));
    let bass = bass.map(class_of);
    let named = class_of(chord).filter(|_| bass.is_none_or(|bass| matches!(bass, Some((_, "")))));
    xml.around("harmony", &[], |xml| {
        match named {
            Some((_, suffix)) => {
                note(xml, "root", chord, &[]);
                let kind = KINDS.iter().find(|(known, _)| *known == suffix).map_or("other", |(_, kind)| kind);
                xml.leaf("kind", &[("text", suffix)], kind);
                if let Some((_, bass)) = symbol.split_once('/') {
                    note(xml, "bass", bass, &[]);
                }
            }
            None => {
                note(xml, "root", "C", &[("text", "")]);
                xml.leaf("kind", &[("text", symbol)], "none");
            }
        }
        if offset > 0 {
            xml.number("offset", offset);
        }
    });
}

/// The note at the start of `text`, as `root` or `bass`.
fn note(xml: &mut Xml, what: &str, text: &str, attributes: &[(&str, &str)]) {
    xml.around(what, &[], |xml| {
        let letter = text.get(..1).unwrap_or_default();
        xml.leaf(&format!("{what}-step"), attributes, letter);
        match text.as_bytes().get(1) {
            Some(b'#') => xml.number(&format!("{what}-alter"), 1),
            Some(b'b') => xml.number(&format!("{what}-alter"), -1),
            _ => {}
        }
    });
}

/// Writes `pitch`.
pub fn pitch(xml: &mut Xml, pitch: Pitch) {
    xml.around("pitch", &[], |xml| step(xml, "", pitch));
}

/// Writes the letter of `pitch`, with its alteration and octave, as elements whose names begin with `prefix`.
pub fn step(xml: &mut Xml, prefix: &str, pitch: Pitch) {
    let (letter, mark) = pitch.letter().split_at(1);
    xml.leaf(&format!("{prefix}step"), &[], letter);
    if mark == "#" {
        xml.number(&format!("{prefix}alter"), 1);
    }
    xml.number(&format!("{prefix}octave"), pitch.octave());
}
