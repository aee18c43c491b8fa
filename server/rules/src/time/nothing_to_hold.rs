use lope_syntax::Span;
use lope_tune::IssueKind;

use crate::{Edit, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "nothing-to-hold",
    level: Some(Level::Warning),
    family: Family::Time,
    page: Page {
        finds: "A hold with no note sounding that it could prolong.",
        why: "A hold says that the string rings on. After a silence, or at the start of a tune, no string \
              does, and a player who meets it looks for a note that is not there.",
        example: Example {
            bad: "\
tune: An Empty Net
meter: 6/8

part A
| 3:0 _ -  1:0 t 2:0 |
",
            good: "\
tune: An Empty Net
meter: 6/8

part A
| 3:0 _ _  1:0 t 2:0 |
",
        },
        mend: "Writes a silence instead, which is what it sounds like already.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    let holds = music.issues.iter().filter(|issue| issue.kind == IssueKind::NothingToHold);
    let mut rows: Vec<Span> = Vec::new();
    for hold in holds {
        // Holds in a row are one slip.
        match rows.last_mut() {
            Some(row) if music.text[row.end as usize..hold.span.start as usize].trim().is_empty() => {
                *row = row.cover(hold.span);
            }
            _ => rows.push(hold.span),
        }
    }
    for row in rows {
        report.text(music, row, "nothing sounds here that could ring on; silence is written `_`");
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let silence = finding.span.of(music.text).replace('-', "_");
    vec![Mend::safe("write a silence", vec![Edit::replace(finding.span, silence)])]
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn holds_in_a_row_are_one_finding_and_one_mend() {
        let piece = Piece::jig("| 3:0 _ --  - 2:0 |");
        assert_eq!(
            piece.says("nothing-to-hold"),
            [
                "--  - at part A, bar 1, count 3: nothing sounds here that could ring on; silence is written `_`"
            ]
        );
        assert_eq!(
            piece.first_mends("nothing-to-hold"),
            [("write a silence".to_owned(), "| 3:0 _ __  _ 2:0 |".to_owned())]
        );
    }

    #[test]
    fn a_hold_over_a_bar_line_holds_something() {
        assert_eq!(Piece::jig("| 3:0 t 2:0  1:0-- | - t 2:0  1:0-- |").says("nothing-to-hold"), [""; 0]);
        assert_eq!(Piece::jig("| - t 2:0  1:0-- |").findings_of("nothing-to-hold").len(), 1);
    }

    #[test]
    fn all_are_mended_at_once_and_none_is_left() {
        let piece =
            Piece::jig("| - - 2:0  _ - - |\n| -  # still\n 3:0 2:0  _-- |").all_mended("nothing-to-hold");
        assert_eq!(piece.findings_of("nothing-to-hold"), []);
        assert!(
            piece.text.ends_with("| _ _ 2:0  _ _ _ |\n| _  # still\n 3:0 2:0  ___ |\n"),
            "{}",
            piece.text
        );
    }
}
