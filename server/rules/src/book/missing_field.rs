use lope_tune::IssueKind;

use super::{issues_at, line_break};
use crate::{Edit, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "missing-field",
    level: Some(Level::Error),
    family: Family::Tune,
    page: Page {
        finds: "A tune without its title or its meter.",
        why: "The title is what a tune is found by, in the book and in the index. Without the meter nobody \
              can count a bar, so bars are not checked until it is there.",
        example: Example {
            bad: "\
tune: Nobody Counted Us In
kind: jig

part A
| 3:0 t 2:0  1:0 t 2:0 |
",
            good: "\
tune: Nobody Counted Us In
meter: 6/8
kind: jig

part A
| 3:0 t 2:0  1:0 t 2:0 |
",
        },
        mend: "Writes the meter that goes with the tune's kind, or 4/4, under the title.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for issue in music.issues {
        let IssueKind::MissingField(name) = issue.kind else { continue };
        let example = if name == "tune" { "The Heron at Low Water" } else { "6/8" };
        report.text(
            music,
            issue.span,
            format!("the tune has no `{name}` field; write one, as in `{name}: {example}`"),
        );
    }
}

/// Writes the meter that the tune is read in. Which title it has only its writer knows.
fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let lacks_meter = issues_at(music, finding.span).any(|kind| *kind == IssueKind::MissingField("meter"));
    let Some(frame) = music.tune.frames.first().filter(|_| lacks_meter) else { return Vec::new() };
    let (title, line_break) = (finding.span.end, line_break(music.text));
    let after = &music.text[title as usize..];
    let edit = match after.find(['\r', '\n']) {
        Some(end) => {
            let next = title + (end + line_break.len()) as u32;
            Edit::insert(next, format!("meter: {}{line_break}", frame.meter))
        }
        None => Edit::insert(music.text.len() as u32, format!("{line_break}meter: {}", frame.meter)),
    };
    vec![Mend::risky(format!("write `meter: {}`", frame.meter), vec![edit])]
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn a_text_without_a_title_is_told_of_that_alone() {
        let piece = Piece::new("part A\n| 3:0 |\n");
        assert_eq!(
            piece.says("missing-field"),
            [
                "part A at the tune: the tune has no `tune` field; write one, as in `tune: The Heron at Low Water`"
            ]
        );
        assert_eq!(piece.mends(&piece.findings_of("missing-field")[0]), []);
    }

    #[test]
    fn a_meter_is_written_under_the_title() {
        let mended = |text: &str| {
            let piece = Piece::new(text);
            let found = piece.findings_of("missing-field");
            assert_eq!(found.len(), 1);
            piece.mended(&piece.mends(&found[0])[0])
        };
        assert_eq!(
            mended("tune: A  # old\r\nkind: waltz\r\n"),
            "tune: A  # old\r\nmeter: 3/4\r\nkind: waltz\r\n"
        );
        assert_eq!(mended("tune: A"), "tune: A\nmeter: 4/4");
    }
}
