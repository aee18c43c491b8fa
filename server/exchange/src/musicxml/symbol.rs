//! Chord symbols as they are read.

use lope_tune::{Pitch, class_of};
use roxmltree::Node;

use super::xml::{child, number};

/// A chord symbol as text, `up` semitones above where it is written: `F#m7`, `D/A`. None for what is no chord of a known
/// kind.
pub fn symbol(node: Node<'_, '_>, up: i16) -> Option<String> {
    let note = |of: &str| {
        let root = child(node, of)?;
        let mark = match number(root, &format!("{of}-alter")).unwrap_or(0) {
            1 => "#",
            -1 => "b",
            _ => "",
        };
        let step = child(root, &format!("{of}-step"))?;
        // It can say how it is shown, where that is not its letter: not at all, for what is no chord.
        let written = || moved(format!("{}{mark}", step.text().unwrap_or("").trim()), up);
        Some(step.attribute("text").map_or_else(written, str::to_owned))
    };
    let kind = child(node, "kind")?;
    let suffix = kind.attribute("text").or_else(|| {
        Some(match kind.text()?.trim() {
            "major" | "none" => "",
            "minor" => "m",
            "dominant" => "7",
            "major-seventh" => "maj7",
            "minor-seventh" => "m7",
            "diminished" => "dim",
            "augmented" => "aug",
            "suspended-fourth" => "sus4",
            "suspended-second" => "sus2",
            "major-sixth" => "6",
            "minor-sixth" => "m6",
            "half-diminished" => "m7b5",
            "diminished-seventh" => "dim7",
            "augmented-seventh" => "aug7",
            "dominant-ninth" => "9",
            "major-ninth" => "maj9",
            "minor-ninth" => "m9",
            "power" => "5",
            _ => return None,
        })
    })?;
    let bass = note("bass").map_or(String::new(), |bass| format!("/{bass}"));
    Some(format!("{}{suffix}{bass}", note("root")?))
}

/// The note `name` so many semitones higher.
fn moved(name: String, up: i16) -> String {
    match class_of(&name) {
        Some((class, "")) if up % 12 != 0 => {
            Pitch((i16::from(class) + up).rem_euclid(12) as u8).letter().to_owned()
        }
        _ => name,
    }
}
