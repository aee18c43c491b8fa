//! Rows above a system: chord symbols, and in text of our own words and marks, each over its moment.

use lope_tune::LabelKind;

use crate::label::is_chord;

/// What a row holds: columns of the text, and what stands there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Row {
    /// Words or chord symbols.
    Labels(LabelKind, Vec<(usize, String)>),
    /// Accents, vibratos and chokes.
    Marks(Vec<(usize, char)>),
}

/// The row that `line` is, which stands above a system.
pub fn row(line: &str) -> Row {
    let entries = entries(line);
    let is_mark = |(_, text): &(usize, String)| matches!(text.as_str(), "!" | "~" | "^");
    if entries.iter().all(is_mark) {
        return Row::Marks(
            entries.into_iter().filter_map(|(at, text)| Some((at, text.chars().next()?))).collect(),
        );
    }
    let all_chords = entries.iter().all(|(_, text)| is_chord(text));
    Row::Labels(if all_chords { LabelKind::Chord } else { LabelKind::Words }, entries)
}

/// What stands in `line` with two blanks or more between, and the column of each.
fn entries(line: &str) -> Vec<(usize, String)> {
    let mut entries: Vec<(usize, String)> = Vec::new();
    let mut blanks = 2;
    for (column, letter) in line.chars().enumerate() {
        match entries.last_mut() {
            _ if letter == ' ' => blanks += 1,
            Some((_, text)) if blanks < 2 => {
                text.extend(std::iter::repeat_n(' ', blanks).chain([letter]));
                blanks = 0;
            }
            _ => {
                entries.push((column, letter.to_string()));
                blanks = 0;
            }
        }
    }
    entries
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_told_by_what_they_hold() {
        let at =
            |entries: &[(usize, &str)]| entries.iter().map(|(at, text)| (*at, (*text).to_owned())).collect();
        let labels = |kind, entries: &[(usize, &str)]| Row::Labels(kind, at(entries));
        assert_eq!(
            row("    G  F#m7  D/F#"),
            labels(LabelKind::Chord, &[(4, "G"), (7, "F#m7"), (13, "D/F#")])
        );
        assert_eq!(
            row("    let it ring  Gone"),
            labels(LabelKind::Words, &[(4, "let it ring"), (17, "Gone")])
        );
        assert_eq!(row("  !   ~"), Row::Marks(vec![(2, '!'), (6, '~')]));
    }
}
