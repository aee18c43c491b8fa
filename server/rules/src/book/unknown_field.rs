use lope_tune::{FIELDS, IssueKind};

use super::{issues_at, quote};
use crate::{Edit, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "unknown-field",
    level: Some(Level::Warning),
    family: Family::Tune,
    page: Page {
        finds: "A field whose name nobody knows.",
        why: "What it says is not read: a `tunning` leaves the banjo in open G. Fields have small letters \
              and are listed in the notation's reference; anything else can be said in a `note:` or after \
              a `#`.",
        example: Example {
            bad: "\
tune: The Misspelt Buoy
meter: 6/8
tunning: sawmill

part A
| 3:0 t 2:0  1:0 t 2:0 |
",
            good: "\
tune: The Misspelt Buoy
meter: 6/8
tuning: sawmill

part A
| 3:0 t 2:0  1:0 t 2:0 |
",
        },
        mend: "Writes the nearest name that is known, where the tune has no such field yet.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for issue in music.issues {
        let IssueKind::UnknownField { name, nearest } = &issue.kind else { continue };
        let name = quote(name);
        let message = match nearest {
            Some(nearest) => format!("there is no field {name}; the nearest is `{nearest}`"),
            None => format!("there is no field {name}; fields are {}", FIELDS.join(", ")),
        };
        report.text(music, issue.span, message);
    }
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let nearest = issues_at(music, finding.span).find_map(|kind| match kind {
        IssueKind::UnknownField { nearest, .. } => *nearest,
        _ => None,
    });
    let is_free = |name: &&str| !music.source.fields.iter().any(|(there, _)| there == name);
    let write = |name: &str| Mend::risky(format!("write `{name}`"), vec![Edit::replace(finding.span, name)]);
    nearest.filter(is_free).map(write).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[test]
    fn the_nearest_name_is_offered_where_it_is_free() {
        let piece =
            Piece::new("tune: T\nmetre: 6/8\nmeter: 6/8\nColour: red\nTempo: 90\n\npart A\n| 3:0 |\n");
        assert_eq!(
            piece.says("unknown-field"),
            [
                "metre at the tune: there is no field `metre`; the nearest is `meter`",
                "Colour at the tune: there is no field `Colour`; fields are tune, by, source, rights, kind, meter, \
                 unit, tuning, capo, tempo, feel, gait, order, tags, note",
                "Tempo at the tune: there is no field `Tempo`; the nearest is `tempo`",
            ]
        );
        let titles: Vec<String> =
            piece.first_mends("unknown-field").into_iter().map(|(title, _)| title).collect();
        assert_eq!(titles, ["write `tempo`"]);
    }
}
