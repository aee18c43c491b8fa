use lope_hand::{Plant, Thumb};

use crate::{About, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule, restrike};

pub static RULE: Rule = Rule {
    name: "far-thumb",
    level: Some(Level::Warning),
    family: Family::RightHand,
    page: Page {
        finds: "A thumb note whose thumb was planted two or more sounding notes before.",
        why: "The thumb comes to rest on its string as the hand falls, and sounds it as the hand rises. \
              Where another note sounds in between, the hand has to stop half way and wait with the thumb \
              down. In a jig that is the hammer-on or pull-off on two with the thumb on three. Common \
              practice.",
        example: Example {
            bad: "\
tune: Waiting on the Quay
meter: 6/8

part A
| 3:0 h2 t  1:0 t 2:0 |
",
            good: "\
tune: Waiting on the Quay
meter: 6/8

part A
| 3:0 h2 1:5  1:0 t 2:0 |
",
        },
        mend: "Strikes the same string at the same fret; for a note on the drone, the same pitch on a long \
               string where there is one within reach. Or leaves the note out, which is heard.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for thumb in &music.hand.thumbs {
        let Thumb { note, plant: Some(Plant { back: back @ 2.., strike, .. }), .. } = *thumb else {
            continue;
        };
        let message = format!("the thumb was planted {back} notes back and has to wait while others sound");
        let finding = report.note(music, note, message);
        if let Some(strike) = strike {
            finding.relate(music.event_span(strike), "the thumb was planted here");
        }
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let About::Note(note) = finding.about else { return Vec::new() };
    restrike::mends(music, note)
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn a_thumb_may_wait_for_a_rise_but_not_for_another_note() {
        let piece = Piece::jig("| 3:0 - t  3:0 h2 t | 3:0 h2 p0  h2 t 3:0 |");
        assert_eq!(
            piece.says("far-thumb"),
            [
                "t at part A, bar 1, count 6: the thumb was planted 2 notes back and has to wait while others sound",
                "t at part A, bar 2, count 5: the thumb was planted 4 notes back and has to wait while others sound",
            ]
        );
        let finding = &piece.findings_of("far-thumb")[0];
        assert_eq!(finding.related[0].span.of(&piece.text), "3:0");
        assert_eq!(finding.related[0].span.start, finding.span.start - 7);
    }

    #[test]
    fn a_fall_on_air_plants_it_anew() {
        assert_eq!(Piece::jig("| 3:0 h2 -  - t 3:0 |").findings_of("far-thumb"), []);
    }

    #[test]
    fn on_a_rise_too_a_strike_mends_it() {
        let piece = Piece::reel("| 3:0 t2:1  {3:0 h2} t2:1  3:0 t  3:0 t |");
        assert_eq!(piece.first_mends("far-thumb")[0].1, "| 3:0 t2:1  {3:0 h2} 2:1  3:0 t  3:0 t |");
        assert_eq!(piece.all_mended("far-thumb").findings_of("far-thumb"), []);
    }
}
