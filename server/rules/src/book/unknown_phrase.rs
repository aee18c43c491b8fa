use lope_tune::IssueKind;

use super::{issues_at, quote};
use crate::{Edit, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "unknown-phrase",
    level: Some(Level::Error),
    family: Family::Tune,
    page: Page {
        finds: "A call of a phrase that is not there.",
        why: "Nothing is played where it is called, so the part is short by whole bars.",
        example: Example {
            bad: "\
tune: Which Stair?
meter: 6/8

phrase stair
| 3:0 t 2:0  1:0 t 2:0 |

part A
| @star | 2:1 t 1:2  1:0-- |
| @stair | 2:1 t 1:0  3:0-- |
",
            good: "\
tune: Which Stair?
meter: 6/8

phrase stair
| 3:0 t 2:0  1:0 t 2:0 |

part A
| @stair | 2:1 t 1:2  1:0-- |
| @stair | 2:1 t 1:0  3:0-- |
",
        },
        mend: "Calls the phrase with the nearest name.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for issue in music.issues {
        let IssueKind::UnknownPhrase { name, nearest } = &issue.kind else { continue };
        let name = quote(name);
        let message = match nearest {
            Some(nearest) => format!("there is no phrase {name}; the nearest is `{nearest}`"),
            None => format!("there is no phrase {name}; write its bars under a heading `phrase NAME`"),
        };
        report.text(music, issue.span, message);
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let nearest = issues_at(music, finding.span).find_map(|kind| match kind {
        IssueKind::UnknownPhrase { nearest, .. } => nearest.as_deref(),
        _ => None,
    });
    let call = |name: &str| {
        let call = format!("@{name}");
        Mend::risky(format!("call `{call}`"), vec![Edit::replace(finding.span, call)])
    };
    nearest.map(call).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn a_call_of_nothing_is_told_how_to_make_it_something() {
        let piece = Piece::jig("| @ladder | 3:0-- 3:0-- |");
        assert_eq!(
            piece.says("unknown-phrase"),
            [
                "@ladder at part A, bar 1: there is no phrase `ladder`; write its bars under a heading `phrase NAME`"
            ]
        );
        assert_eq!(piece.first_mends("unknown-phrase"), []);
    }
}
