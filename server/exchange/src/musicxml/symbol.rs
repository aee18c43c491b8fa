//! Chord symbols as they are read.

use roxmltree::Node;

use super::xml::{child, number};

/// A chord symbol as text: `F#m7`, `D/A`.
pub fn symbol(node: Node<'_, '_>) -> Option<String> {
    let note = |of: &str| {
        let root = child(node, of)?;
        let mark = match number(root, &format!("{of}-alter")).unwrap_or(0) {
            1 => "#",
            -1 => "b",
            _ => "",
        };
        let step = child(root, &format!("{of}-step"))?;
        // It can say how it is shown, where that is not its letter: not at all, for what is no chord.
        Some(
            step.attribute("text")
                .map_or_else(|| format!("{}{mark}", step.text().unwrap_or("").trim()), str::to_owned),
        )
    };
    let kind = child(node, "kind")?;
    let suffix = kind.attribute("text").map(str::to_owned).or_else(|| {
        Some(
            match kind.text()?.trim() {
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
                _ => "",
            }
            .to_owned(),
        )
    })?;
    let bass = note("bass").map_or(String::new(), |bass| format!("/{bass}"));
    Some(format!("{}{suffix}{bass}", note("root")?))
}
