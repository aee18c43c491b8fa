use lope_tune::IssueKind;

use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "circling-phrase",
    level: Some(Level::Error),
    family: Family::Tune,
    page: Page {
        finds: "A phrase that calls itself, straight or by way of others.",
        why: "Played as written it would never end, so the call is left out and the part is short by it.",
        example: Example {
            bad: "\
tune: Round the Same Bollard
meter: 6/8

phrase turn
| 3:0 t 2:0  1:0 t 2:0 | @turn |

part A
| @turn |
",
            good: "\
tune: Round the Same Bollard
meter: 6/8

phrase turn
| 3:0 t 2:0  1:0 t 2:0 | 2:1 t 1:2  1:0-- |

part A
| @turn |
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    for issue in music.issues {
        let IssueKind::CirclingPhrase(circle) = &issue.kind else { continue };
        let message = match circle.as_slice() {
            [name, _] => format!("phrase {name} calls itself; take this call out"),
            [name, ..] => {
                format!(
                    "phrase {name} comes round to itself: {}; take out one of the calls",
                    circle.join(", ")
                )
            }
            [] => continue,
        };
        report.text(music, issue.span, message);
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn the_whole_circle_is_named_once() {
        let text =
            "tune: T\nmeter: 6/8\nphrase a\n| @b |\nphrase b\n| @c |\nphrase c\n| @a |\npart A\n| @a |\n";
        assert_eq!(
            Piece::new(text).says("circling-phrase"),
            ["@a at phrase c, bar 1: phrase a comes round to itself: a, b, c, a; take out one of the calls"]
        );
        assert_eq!(
            Piece::new("tune: T\nmeter: 6/8\nphrase a\n| @a |\npart A\n| @a |\n").says("circling-phrase"),
            ["@a at phrase a, bar 1: phrase a calls itself; take this call out"]
        );
    }
}
