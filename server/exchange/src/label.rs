//! Words and chord symbols as the notation holds them.

use lope_tune::LabelKind;

/// A label's text as the notation can hold it.
pub fn legible(kind: LabelKind, text: &str) -> String {
    match kind {
        LabelKind::Chord => one_line(text).replace(['<', '>', '|'], ""),
        LabelKind::Words => one_line(text).replace('"', "'"),
    }
}

/// `text` on one line.
pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether `text` is spelled as a chord symbol: a note, and what makes a chord of it.
pub fn is_chord(text: &str) -> bool {
    const PARTS: [&str; 10] = ["maj", "min", "dim", "aug", "sus", "add", "m", "M", "b", "#"];
    let is_note = |letter: char| matches!(letter, 'A'..='G');
    let Some(mut rest) = text.strip_prefix(is_note) else { return false };
    while !rest.is_empty() {
        let next = PARTS.iter().find_map(|part| rest.strip_prefix(part));
        let next = next.or_else(|| rest.strip_prefix(['+', '-', '°', '(', ')']));
        let next = next.or_else(|| rest.strip_prefix(|letter: char| letter.is_ascii_digit()));
        let Some(next) = next.or_else(|| rest.strip_prefix('/')?.strip_prefix(is_note)) else { return false };
        rest = next;
    }
    true
}
