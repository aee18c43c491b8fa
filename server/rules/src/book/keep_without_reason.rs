use crate::keep::keeps;
use crate::registry::no_mends;
use crate::{Example, Family, Level, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "keep-without-reason",
    level: Some(Level::Warning),
    family: Family::Tune,
    page: Page {
        finds: "A comment that keeps a finding and does not say why.",
        why: "In a year nobody knows whether the spot was meant to be so. Without a reason the comment keeps \
              nothing, and the finding is reported all the same.",
        example: Example {
            bad: "\
tune: Because I Say So
meter: 6/8

part A
| 3:0 t 2:0  1:0 t |  # keep short-bar:
",
            good: "\
tune: Because I Say So
meter: 6/8

part A
| 3:0 t 2:0  1:0 t |  # keep short-bar: everybody stamps once here
",
        },
        mend: "",
    },
    check: Some(check),
    mends: no_mends,
};

fn check(music: &Music, report: &mut Report) {
    for keep in keeps(music.text, music.tree).iter().filter(|keep| !keep.has_reason) {
        let names: Vec<&str> = keep.rules.iter().map(|named| named.written.of(music.text)).collect();
        let names = names.join(", ");
        report.text(
            music,
            keep.comment,
            format!("this keeps nothing without a reason; write `# keep {names}: why`"),
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn a_reason_is_asked_for_and_the_finding_stays() {
        let piece = Piece::jig("# keep short-bar, long-bar\n| 3:0 |");
        assert_eq!(
            piece.says("keep-without-reason"),
            ["# keep short-bar, long-bar at the tune: this keeps nothing without a reason; write \
              `# keep short-bar, long-bar: why`"]
        );
        assert_eq!(piece.findings_of("short-bar").len(), 1);
        assert_eq!(piece.findings_of("unused-keep"), [], "one slip is one finding");
    }
}
