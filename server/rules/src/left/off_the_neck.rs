use lope_tune::{Note, NoteId};

use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "off-the-neck",
    level: Some(Level::Error),
    family: Family::LeftHand,
    page: Page {
        finds: "A fret or a string that the instrument does not have.",
        why: "A banjo has five strings, and the neck ends: 22 frets where the book says nothing else, less \
              the frets behind a capo. The drone's peg sits at the fifth fret, so on string 5 there is the \
              open string, written 0, and then fret 6 and up.",
        example: Example {
            bad: "\
tune: The Short String
meter: 6/8

part A
| 1:0 t5:3 1:2  1:0 t 1:0 |
",
            good: "\
tune: The Short String
meter: 6/8

part A
| 1:0 t5:7 1:2  1:0 t 1:0 |
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    let last = music.last_fret();
    for (id, note) in (0..).map(NoteId).zip(&music.tune.notes) {
        if let Some(message) = complaint(note, last) {
            report.note(music, id, message);
        }
    }
}

/// What is wrong with where `note` is, on a neck whose last fret is `last`.
fn complaint(note: &Note, last: u8) -> Option<String> {
    match (note.string, note.fret) {
        // A slur that names no string and has none to go on from is told off for that, not for this.
        (0, _) if note.how.is_slur() => None,
        (string @ (0 | 6..), _) => Some(format!("there is no string {string}: strings go from 1 to 5")),
        (5, fret @ 1..=5) => Some(format!("the drone has no fret {fret}: its peg sits at the fifth fret")),
        (_, 255) => Some(format!("there is no such fret: the neck ends at {last}")),
        (_, fret) if fret > last => Some(format!("there is no fret {fret}: the neck ends at {last}")),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn the_drone_has_no_frets_below_its_peg() {
        let piece = Piece::jig("| 1:0 t5:5 1:0  1:0 t5:6 1:0 | 1:0 t5:0 1:0  1:0 t5:1 1:0 |");
        assert_eq!(
            piece.says("off-the-neck"),
            [
                "t5:5 at part A, bar 1, count 2: the drone has no fret 5: its peg sits at the fifth fret",
                "t5:1 at part A, bar 2, count 5: the drone has no fret 1: its peg sits at the fifth fret",
            ]
        );
    }

    #[test]
    fn the_neck_ends_sooner_behind_a_capo() {
        let music = "part A\n| 1:20 t 1:21  1:999 t 6:0 |\n";
        let piece = Piece::new(&format!("tune: High\nmeter: 6/8\ncapo: 2\n\n{music}"));
        assert_eq!(
            piece.says("off-the-neck"),
            [
                "1:21 at part A, bar 1, count 3: there is no fret 21: the neck ends at 20",
                "1:999 at part A, bar 1, count 4: there is no such fret: the neck ends at 20",
                "6:0 at part A, bar 1, count 6: there is no string 6: strings go from 1 to 5",
            ]
        );
    }
}
