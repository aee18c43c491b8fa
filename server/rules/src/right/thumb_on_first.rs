use super::thumb_crosses::drop_elsewhere;
use crate::{About, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "thumb-on-first",
    level: Some(Level::Warning),
    family: Family::RightHand,
    page: Page {
        finds: "A thumb note on string 1.",
        why: "String 1 is the last towards the floor. With the thumb on it, the finger has no string to \
              strike beyond it, and the hand leaves its shape. Common practice.",
        example: Example {
            bad: "\
tune: The Lowest Rung
meter: 4/4

part A
| 2:0 t1:5  1:2 t  2:0 t  1:2 t |
",
            good: "\
tune: The Lowest Rung
meter: 4/4

part A
| 2:0 t  1:2 t  2:0 t  1:2 t |
",
        },
        mend: "Drops the thumb to the same pitch on a string it can reach, where there is one; on a fall, \
               strikes the note instead.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for thumb in music.hand.thumbs.iter().filter(|thumb| music.note(thumb.note).string == 1) {
        report.note(
            music,
            thumb.note,
            "the thumb does not go to string 1: the finger has no string beyond it",
        );
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Note(note) = finding.about else { return Vec::new() };
    let Some(thumb) = music.hand.thumb(note) else { return Vec::new() };
    drop_elsewhere(music, thumb)
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn the_thumb_finds_the_pitch_on_another_string() {
        let piece = Piece::jig("| 2:1 t1:5/m 1:0  1:0 t 1:0 |");
        assert_eq!(
            piece.says("thumb-on-first"),
            [
                "t1:5/m at part A, bar 1, count 2: the thumb does not go to string 1: the finger has no string beyond it"
            ]
        );
        assert_eq!(piece.first_mends("thumb-on-first")[0].1, "| 2:1 t 1:0  1:0 t 1:0 |");
    }

    #[test]
    fn on_a_fall_it_is_struck() {
        let piece = Piece::jig("| 2:1 t t1:5  1:0 t 1:0 |");
        assert_eq!(piece.first_mends("thumb-on-first")[0].1, "| 2:1 t 1:5  1:0 t 1:0 |");
    }
}
