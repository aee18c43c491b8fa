use lope_syntax::nearest;
use lope_tune::{CHANGING, IssueKind, NAMED};

use super::{issues_at, quote};
use crate::{Edit, Example, Family, Finding, Level, Mend, Music, Page, Report, Rule};

pub static RULE: Rule = Rule {
    name: "bad-value",
    level: Some(Level::Error),
    family: Family::Tune,
    page: Page {
        finds: "A field or a heading that says something it cannot say, or says it where it cannot.",
        why: "The tune is read as if it were not there: a capo at fret 40 is no capo, and a tuning of four \
              strings leaves the banjo in open G. So what you hear is not what you wrote.",
        example: Example {
            bad: "\
tune: Four Strings to the Wind
meter: 6/8
tuning: sawmil

part A
| 3:0 t 2:0  1:0 t 2:0 |
",
            good: "\
tune: Four Strings to the Wind
meter: 6/8
tuning: sawmill

part A
| 3:0 t 2:0  1:0 t 2:0 |
",
        },
        mend: "Writes the nearest name of a tuning, where one is near. Everything else only you can know.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    for issue in music.issues {
        let message = match &issue.kind {
            IssueKind::Misplaced(field) => format!(
                "`{field}` cannot change inside a part; write it above the first part, for only {} change",
                CHANGING.join(", ")
            ),
            IssueKind::BadValue { field, value, expected } => complaint(field, value, expected),
            _ => continue,
        };
        report.text(music, issue.span, message);
    }
}

fn complaint(field: &str, value: &str, expected: &str) -> String {
    if value.is_empty() {
        return format!("the {field} is left empty; write {expected}");
    }
    if value == field {
        return format!("write {expected}");
    }
    let near = nearest_tuning(field, value)
        .map_or_else(String::new, |name| format!(", and `{name}` is the nearest"));
    format!("the {field} cannot be {}; write {expected}{near}", quote(value))
}

/// The trade's name for a tuning that `value` was most likely meant to be.
fn nearest_tuning(field: &str, value: &str) -> Option<&'static str> {
    let names = NAMED.iter().map(|(name, _)| *name);
    nearest(value, names).filter(|_| field == "tuning")
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let near = issues_at(music, finding.span).find_map(|kind| match kind {
        IssueKind::BadValue { field, value, .. } => nearest_tuning(field, value),
        _ => None,
    });
    let write = |name: &str| Mend::risky(format!("write `{name}`"), vec![Edit::replace(finding.span, name)]);
    near.map(write).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use crate::testing::Piece;

    #[track_caller]
    fn says(text: &str, expected: &[&str]) {
        assert_eq!(Piece::new(&format!("tune: T\nmeter: 6/8\n{text}")).says("bad-value"), expected);
    }

    #[test]
    fn a_value_is_quoted_with_what_would_do() {
        says("capo: 40\n", &["40 at the tune: the capo cannot be `40`; write a fret from 0 to 12"]);
        says(
            "tempo:\n",
            &[" at the tune: the tempo is left empty; write beats a minute from 20 to 400, as in 100"],
        );
        says("tempo: 90\ntempo: 95\n", &["tempo at the tune: write one tempo field: there is one above"]);
        says(
            "tuning: open h\n",
            &[
                "open h at the tune: the tuning cannot be `open h`; write five notes from string 5 to 1, as in gDGBD, \
               or one of open G, sawmill, double C, drop C, double D, open D, G minor, and `open G` is the nearest",
            ],
        );
    }

    #[test]
    fn some_fields_do_not_change_inside_a_part() {
        says(
            "part A\n| 3:0 |\ncapo: 2\n| 3:0 |",
            &[
                "capo at the tune: `capo` cannot change inside a part; write it above the first part, for only meter, \
               unit, gait, tempo change",
            ],
        );
    }

    #[test]
    fn headings_have_values_too() {
        says(
            "part A\n| 3:0 |\npart A x0\n| 3:0 |",
            &[
                "A at the tune: the part cannot be `A`; write a name of its own: there is a part A above",
                "x0 at the tune: the part cannot be `x0`; write how often it is played, from x1 to x99",
            ],
        );
    }
}
