use std::collections::BTreeMap;

use lope_hand::Gap;
use lope_tune::{SectionId, SectionKind};

use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Report, Rule};

/// The shortest comfortable time from one strike to the next, in microseconds; from memory.
const COMFORTABLE: u64 = 120_000;

pub static RULE: Rule = Rule {
    name: "fast-falls",
    level: Some(Level::Hint),
    family: Family::RightHand,
    page: Page {
        finds: "Two strikes closer together than 120 thousandths of a second at the tune's tempo.",
        why: "The hand has to get up before it can fall again. In a jig the third note of a group and the \
              first of the next are two falls in a row, and set how fast the tune can go. The limit is from \
              memory, and hands differ. Work up to a tempo a few beats at a time: warm up, rest, stop at \
              pain, numbness or tingling and see a clinician.",
        example: Example {
            bad: "\
tune: Before the Rain
meter: 6/8
tempo: 180

part A
| 1:0 t 2:0  3:0 t 2:0 |
",
            good: "\
tune: Before the Rain
meter: 6/8
tempo: 110

part A
| 1:0 t 2:0  3:0 t 2:0 |
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    let gaps = music.hand.gaps_under(music.tune, COMFORTABLE);
    let mut sections: BTreeMap<SectionId, Vec<Gap>> = BTreeMap::new();
    for gap in gaps {
        let section = music.source.bars[gap.bar.index()].section;
        let part = match music.tune.sections[section.index()].kind {
            SectionKind::Ending { of, .. } => of,
            _ => section,
        };
        sections.entry(part).or_default().push(gap);
    }
    for gaps in sections.into_values() {
        let Some(first) = gaps.iter().min_by_key(|gap| gap.event) else { continue };
        let more = match gaps.len() - 1 {
            0 => String::new(),
            1 => ", and once more in this part".to_owned(),
            more => format!(", and {more} times more in this part"),
        };
        let message = format!("this strike comes {} ms after the one before{more}", first.micros / 1000);
        report.event(music, first.event, message);
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn each_part_is_told_once() {
        let piece = Piece::new(
            "tune: Fast\nmeter: 6/8\ntempo: 200\n\npart A x2\n| 1:0 t 1:0  1:0 t 1:0 |\nending 1\n\
             | 1:0 t 1:0  1:0 - - |\nending 2\n| 1:0 - -  1:0 - - |\n\npart B\n| 1:0 t 1:0  1:0 - - |\n\
             \npart C\n| 1:0- -  1:0- - |\n",
        );
        assert_eq!(
            piece.says("fast-falls"),
            [
                "1:0 at part A, bar 1, count 4: this strike comes 100 ms after the one before, and 3 times \
                 more in this part",
                "1:0 at part B, bar 1, count 4: this strike comes 100 ms after the one before",
            ]
        );
    }
}
