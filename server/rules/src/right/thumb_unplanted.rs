use lope_tune::Stroke;

use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "thumb-unplanted",
    level: Some(Level::Hint),
    family: Family::RightHand,
    page: Page {
        finds: "A thumb note with no fall before it in its bar to plant the thumb.",
        why: "The thumb gets to its string when the hand falls. Where the bar so far has no fall, because \
              the left hand has the first note or the gait begins with a rise, the thumb has to find its \
              string out of the air. Common practice.",
        example: Example {
            bad: "\
tune: Out of the Air
meter: 6/8

part A
| 1:0 t 2:0  3:0 t 2:0 | h2 t 2:0  3:0- - |
",
            good: "\
tune: Out of the Air
meter: 6/8

part A
| 1:0 t 2:0  3:0 t 2:0 | 2:2 t 2:0  3:0- - |
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    for thumb in &music.hand.thumbs {
        let planted = thumb.plant.is_some_and(|plant| plant.same_bar);
        // On a fall the thumb is wrong whatever was before it, and off-strike says so.
        if !planted && music.hand.motion(thumb.event).stroke != Stroke::Fall {
            let message =
                "the hand does not fall before this thumb note in its bar, so nothing plants the thumb";
            report.note(music, thumb.note, message);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn the_bar_has_to_fall_first() {
        let piece = Piece::new("tune: Up\nmeter: 4/4\ngait: .x\n\npart A\n| t 3:0  t 3:0  t 3:0  t 3:0 |\n");
        assert_eq!(
            piece.says("thumb-unplanted"),
            ["t at part A, bar 1, count 1: the hand does not fall before this thumb note in its bar, so \
              nothing plants the thumb"]
        );
        assert_eq!(
            Piece::jig("| h2 h3 t  1:0 t 2:0 |").findings_of("thumb-unplanted"),
            [],
            "that is off-strike"
        );
        assert_eq!(Piece::jig("t 1:0 | _ t 3:0  1:0 t 2:0 |").findings_of("thumb-unplanted"), []);
    }
}
