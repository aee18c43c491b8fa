//! Words, chord symbols, and the marks after a fret.

use lope_syntax::TokenKind;
use lope_tune::{Finger, LabelKind, Marks, NoteId};

use super::{Hover, Look};
use crate::chord::Chord;

/// What there is to say of words above the music.
pub fn words(look: Look<'_>) -> Option<Hover> {
    Some(look.said(place(look, LabelKind::Words)?, vec!["words above the slot that follows".to_owned()]))
}

/// What there is to say of a chord symbol: its tones, and where the open strings have them.
pub fn chord(look: Look<'_>) -> Option<Hover> {
    let header = &look.music.tune.header;
    let name = look.text().trim_start_matches('<').trim_end_matches('>').trim();
    let mut lines = vec![format!("chord symbol {name}, above the slot that follows")];
    if let Some(chord) = Chord::parse(name) {
        lines.push(format!("its tones: {}", chord.names().join(" ")));
        let open = (1..=5)
            .rev()
            .filter(|string| header.tuning.open(*string, header.capo).is_some_and(|pitch| chord.has(pitch)));
        let open: Vec<String> = open.map(|string: u8| string.to_string()).collect();
        lines.push(match open.as_slice() {
            [] => "no open string is one of them".to_owned(),
            [only] => format!("open string {only} is one of them"),
            [_, _, _, _, _] => "every open string is one of them".to_owned(),
            [several @ .., last] => format!("open strings {} and {last} are among them", several.join(", ")),
        });
    }
    Some(look.said(place(look, LabelKind::Chord)?, lines))
}

/// Where the label under the cursor stands.
fn place(look: Look<'_>, kind: LabelKind) -> Option<String> {
    let token = if kind == LabelKind::Chord { TokenKind::Chord } else { TokenKind::Words };
    // Labels are kept in the order of the text, so the tree's are numbered as the tune's are.
    let before = look.music.tree.tokens()[..look.number].iter().filter(|other| other.kind == token).count();
    let label = look.music.tune.labels.iter().filter(|label| label.kind == kind).nth(before)?;
    Some(look.music.place_in_bar(label.bar, label.onset).to_string())
}

/// What there is to say of a mark after a fret.
pub fn mark(look: Look<'_>) -> Option<Hover> {
    let notes = &look.music.source.notes;
    let note = notes.partition_point(|span| span.start <= look.token.span.start).checked_sub(1)?;
    let place = look.music.place_of_note(NoteId(note as u32));
    let marks = match look.token.kind {
        TokenKind::Accent => Marks { accent: true, ..Marks::default() },
        TokenKind::Vibrato => Marks { vibrato: true, ..Marks::default() },
        TokenKind::Choke => Marks { choke: true, ..Marks::default() },
        _ => Marks { finger: look.music.note(NoteId(note as u32)).marks.finger, ..Marks::default() },
    };
    Some(look.said(place.to_string(), self::marks(marks)))
}

/// What `marks` mean, a line each.
pub fn marks(marks: Marks) -> Vec<String> {
    let finger = marks.finger.map(|finger| match finger {
        Finger::Index => "with the first finger of the left hand",
        Finger::Middle => "with the middle finger of the left hand",
        Finger::Ring => "with the ring finger of the left hand",
        Finger::Little => "with the little finger of the left hand",
    });
    let marks = [
        marks.accent.then_some("accent: louder than the notes around it"),
        marks.vibrato.then_some("vibrato: the left hand shakes the string"),
        marks.choke.then_some("choke: the left hand bends the string, which raises it"),
        finger,
    ];
    marks.into_iter().flatten().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{check, hover, jig};

    #[test]
    fn a_chord_symbol_tells_its_tones() {
        let text = jig("| <G> 3:0 t 3:0 \"slow\" <F#m7> 3:0 t 3:0 | <no chord> 3:0 |");
        check(
            &text,
            "<G>",
            &[
                "\"<G>\" part A, bar 1, count 1",
                "chord symbol G, above the slot that follows",
                "its tones: G B D",
                "every open string is one of them",
            ],
        );
        check(
            &text,
            "<F#m7>",
            &[
                "\"<F#m7>\" part A, bar 1, count 4",
                "chord symbol F#m7, above the slot that follows",
                "its tones: F# A C# E",
                "no open string is one of them",
            ],
        );
        assert_eq!(
            hover(&text.replace("<G>", "<Em>"), "<Em>").lines[2],
            "open strings 5, 3 and 2 are among them"
        );
        check(
            &text,
            "<no",
            &["\"<no chord>\" part A, bar 2, count 1", "chord symbol no chord, above the slot that follows"],
        );
        check(
            &text,
            "\"slow",
            &["\"\\\"slow\\\"\" part A, bar 1, count 4", "words above the slot that follows"],
        );
    }

    #[test]
    fn a_mark_tells_what_it_means() {
        let text = jig("| 3:2!^/m t [2:1~ 1:0/i] |");
        let at = "part A, bar 1, count";
        check(&text, "!", &[&format!("\"!\" {at} 1"), "accent: louder than the notes around it"]);
        check(
            &text,
            "^",
            &[&format!("\"^\" {at} 1"), "choke: the left hand bends the string, which raises it"],
        );
        check(&text, "/m", &[&format!("\"/m\" {at} 1"), "with the middle finger of the left hand"]);
        check(&text, "~", &[&format!("\"~\" {at} 3"), "vibrato: the left hand shakes the string"]);
    }
}
