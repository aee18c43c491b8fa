use lope_hand::Strings;
use lope_tune::EventId;

use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "same-string-twice",
    level: Some(Level::Error),
    family: Family::LeftHand,
    page: Page {
        finds: "Two notes at once on one string.",
        why: "A string sounds at one fret at a time: of two fingers on it only the higher is heard.",
        example: Example {
            bad: "\
tune: Two on One
meter: 6/8

part A
| [3:0 2:1 2:3] t 1:0  3:0 t 1:0 |
",
            good: "\
tune: Two on One
meter: 6/8

part A
| [3:0 2:1 1:0] t 1:0  3:0 t 1:0 |
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    for event in &music.hand.brushes {
        if let Some(string) = twice(music, *event) {
            report.event(music, *event, format!("string {string} is here twice, and can sound only once"));
        }
    }
}

/// The first string that `event` sounds twice.
fn twice(music: &Music, event: EventId) -> Option<u8> {
    let mut sounding = Strings::NONE;
    let strings = music.tune.notes_of(music.event(event)).iter().map(|note| note.string);
    strings.into_iter().find(|string| {
        let again = sounding.has(*string);
        sounding = sounding.with(*string);
        again
    })
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn a_string_sounds_once_in_a_brush() {
        let piece = Piece::jig("| 2:1 t [2:0 1:0]  [1:2 2:1 p0 1:0] t 3:0 |");
        assert_eq!(
            piece.says("same-string-twice"),
            ["[1:2 2:1 p0 1:0] at part A, bar 1, count 4: string 1 is here twice, and can sound only once"]
        );
    }
}
