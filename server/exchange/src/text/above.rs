//! Rows above a system: chord symbols, and in text of our own words and marks, each over its moment.

use lope_tune::{BarId, Label, LabelKind};

use super::bars::Mark;
use super::columns::Columns;
use super::systems::System;
use super::words::Words;
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

/// Sets the marks in `rows` above `system` to the notes that stand alone below them.
pub fn mark(system: &mut System, rows: &[Row]) {
    let marks = rows.iter().filter_map(|row| match row {
        Row::Marks(marks) => Some(marks),
        Row::Labels(..) => None,
    });
    for (column, sign) in marks.flatten() {
        for measure in &mut system.measures {
            let is_below = |mark: &&mut Mark| measure.start + mark.column == *column;
            let mut below: Vec<&mut Mark> = measure.marks.iter_mut().filter(is_below).collect();
            if let [note] = below.as_mut_slice() {
                note.marks.accent |= *sign == '!';
                note.marks.vibrato |= *sign == '~';
                note.marks.choke |= *sign == '^';
            }
        }
    }
}

/// The words and chord symbols in the rows above the systems.
pub fn labels(systems: &[System], words: &Words, columns: &Columns) -> Vec<Label> {
    let mut labels = Vec::new();
    let mut bar = 0;
    for (at, system) in systems.iter().enumerate() {
        let rows = words.rows.get(&at).map_or(&[][..], Vec::as_slice);
        for measure in &system.measures {
            let mut here: Vec<Label> = Vec::new();
            for row in rows {
                let Row::Labels(kind, entries) = row else { continue };
                let inside =
                    |column: &usize| (measure.start..=measure.start + measure.width).contains(column);
                here.extend(entries.iter().filter(|(column, _)| inside(column)).map(|(column, text)| {
                    Label {
                        bar: BarId(bar),
                        onset: columns.near(bar as usize, measure, column - measure.start),
                        kind: *kind,
                        text: text.clone(),
                    }
                }));
            }
            here.sort_by_key(|label| label.onset);
            labels.append(&mut here);
            bar += 1;
        }
    }
    labels
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
