//! Signs that hold for a measure and on: tempo, swing, bar lines, jumps.

use lope_tune::{Duration, Feel};
use roxmltree::Node;

use super::measure::Measure;
use super::xml::{child, number, text};

/// Beats a minute of a printed metronome mark, and how long a beat is.
pub fn metronome(node: Node<'_, '_>) -> Option<(u32, Duration)> {
    let beats: u32 = text(node, "per-minute")?.parse().ok()?;
    let part = ["whole", "half", "quarter", "eighth", "16th", "32nd"]
        .iter()
        .position(|name| text(node, "beat-unit") == Some(name))?;
    let beat = Duration::new(1, 1 << part);
    Some((beats, if child(node, "beat-unit-dot").is_some() { beat.times(3).share(2) } else { beat }))
}

/// How pairs of slots are played by the mark at `node`.
pub fn swing(node: Node<'_, '_>) -> Feel {
    let share = |name| number(node, name).and_then(|share| u32::try_from(share).ok());
    match (share("first"), share("second")) {
        (Some(long @ 1..=9), Some(short @ 1..=9)) => Feel::Swing { long, short },
        _ => Feel::Straight,
    }
}

/// Takes what the bar line at `node` says of `measure`.
pub fn barline(node: Node<'_, '_>, measure: &mut Measure) {
    if let Some(repeat) = child(node, "repeat") {
        match repeat.attribute("direction") {
            Some("forward") => measure.forward = true,
            _ => {
                let times = repeat.attribute("times").and_then(|times| times.parse().ok());
                measure.backward = Some(times.unwrap_or(2).clamp(2, 99));
            }
        }
    }
    if let Some(ending) = child(node, "ending") {
        if ending.attribute("type") == Some("start") {
            let passes = ending.attribute("number").unwrap_or("1").split([',', ' ']);
            measure.ending = Some(passes.filter_map(|pass| pass.trim().parse().ok()).collect());
        } else {
            measure.ending_stops = true;
        }
    }
    let is_right = node.attribute("location") != Some("left");
    measure.double |= is_right && matches!(text(node, "bar-style"), Some("light-light" | "light-heavy"));
}

/// Whether the direction at `node` sends a player to another place, marks one to be sent to, or ends the tune early.
pub fn is_jump(node: Node<'_, '_>) -> bool {
    const SAID: [&str; 6] = ["dacapo", "dalsegno", "tocoda", "fine", "segno", "coda"];
    node.descendants().any(|node| {
        let is_sign = matches!(node.tag_name().name(), "segno" | "coda");
        let words = node.has_tag_name("words").then(|| node.text()).flatten();
        is_sign || words.is_some_and(sends) || SAID.iter().any(|said| node.attribute(*said).is_some())
    })
}

/// Whether `words` are those of a jump: D.C. al Fine, Dal Segno, To Coda.
fn sends(words: &str) -> bool {
    let lower = words.to_lowercase();
    let words: Vec<&str> =
        lower.split(|letter: char| !letter.is_alphabetic()).filter(|word| !word.is_empty()).collect();
    words.iter().any(|word| matches!(*word, "dc" | "ds" | "fine" | "coda" | "segno"))
        || words.windows(2).any(|two| matches!(two, ["d", "c" | "s"] | ["da", "capo"]))
}
