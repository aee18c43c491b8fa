use lope_tune::IssueKind;

use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Place, Report, Rule};

pub static RULE: Rule = Rule {
    name: "unused-phrase",
    level: Some(Level::Hint),
    family: Family::Tune,
    page: Page {
        finds: "A phrase that no part calls.",
        why: "It is never played. Either the call is missing, or the phrase was left behind when the tune \
              changed.",
        example: Example {
            bad: "\
tune: The Spare Oar
meter: 6/8

phrase stroke
| 3:0 t 2:0  1:0 t 2:0 |

part A
| 2:1 t 1:2  1:0-- |
",
            good: "\
tune: The Spare Oar
meter: 6/8

phrase stroke
| 3:0 t 2:0  1:0 t 2:0 |

part A
| @stroke | 2:1 t 1:2  1:0-- |
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    for issue in music.issues {
        let IssueKind::UnusedPhrase(name) = &issue.kind else { continue };
        // A call that was most likely meant for it has been reported: one slip, one finding.
        let misspelt = |kind: &IssueKind| matches!(kind, IssueKind::UnknownPhrase { nearest: Some(nearest), .. } if nearest == name);
        if music.issues.iter().any(|issue| misspelt(&issue.kind)) {
            continue;
        }
        let message =
            format!("nothing calls this phrase; write `@{name}` where it is played, or take it out");
        let finding = report.text(music, issue.span, message);
        finding.place = Place { section: Some(format!("phrase {name}")), ..Place::default() };
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn a_phrase_called_by_a_phrase_is_called() {
        let phrases = "tune: T\nmeter: 6/8\nphrase a\n| @b |\nphrase b\n| 3:0-- 3:0-- |\n";
        assert_eq!(
            Piece::new(phrases).says("unused-phrase"),
            [
                "phrase a at phrase a: nothing calls this phrase; write `@a` where it is played, or take it out"
            ]
        );
    }

    #[test]
    fn a_phrase_whose_call_is_misspelt_is_not_reported_as_well() {
        let phrases = "tune: T\nmeter: 6/8\nphrase stair\n| 3:0-- 3:0-- |\npart A\n| @star |\n";
        assert_eq!(Piece::new(phrases).says("unused-phrase"), [""; 0]);
    }
}
