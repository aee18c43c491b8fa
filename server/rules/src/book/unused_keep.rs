use lope_syntax::{Span, nearest};

use crate::keep::{ABOUT_KEEPS, KeptRule, holding, keeps};
use crate::{Edit, Example, Family, Finding, Level, Mend, Music, Page, RULES, Report, Rule, rule};

/// It looks at what the other rules have found, so it comes last in the list of rules.
pub static RULE: Rule = Rule {
    name: "unused-keep",
    level: Some(Level::Warning),
    family: Family::Tune,
    page: Page {
        finds: "A comment that keeps a finding that is not there, or a rule that does not exist.",
        why: "The spot was mended and the comment stayed behind, or the rule's name is misspelt and nothing \
              is kept. Left alone, it would one day keep a finding nobody has looked at. A rule that is \
              turned off for the book is passed over.",
        example: Example {
            bad: "\
tune: The Mended Gate
meter: 6/8

part A
| 3:0 t 2:0  1:0 t |  # keep short-bars: everybody stamps once here
",
            good: "\
tune: The Mended Gate
meter: 6/8

part A
| 3:0 t 2:0  1:0 t |  # keep short-bar: everybody stamps once here
",
        },
        mend: "Writes the nearest name of a rule, where the name is misspelt. To take a comment out is left \
               to you.",
    },
    check: Some(check),
    mends,
};

fn check(music: &Music, report: &mut Report) {
    let keeps = keeps(music.text, music.tree);
    if keeps.is_empty() {
        return;
    }
    let found = report.findings().iter();
    let mut used: Vec<Span> = found.flat_map(|found| holding(&keeps, found.rule, found.span)).collect();
    used.sort_unstable();
    for named in keeps.iter().filter(|keep| keep.has_reason).flat_map(|keep| &keep.rules) {
        let is_used = used.binary_search(&named.written).is_ok();
        if let Some(message) = complaint(music, report, *named).filter(|_| !is_used) {
            report.text(music, named.written, message);
        }
    }
}

/// What is wrong with keeping `named` when it keeps nothing, if anything is.
fn complaint(music: &Music, report: &Report, named: KeptRule) -> Option<String> {
    let name = named.written.of(music.text);
    match named.rule {
        None => {
            let near = near(name).map_or_else(String::new, |near| format!("; the nearest is `{near}`"));
            Some(format!("there is no rule `{name}`{near}"))
        }
        Some(_) if ABOUT_KEEPS.contains(&name) => {
            Some(format!("`{name}` cannot be kept; take the comment out"))
        }
        Some(rule) if report.has_asked(rule) => Some(format!("`{name}` finds nothing here; take this out")),
        Some(_) => None,
    }
}

fn near(name: &str) -> Option<&'static str> {
    nearest(name, RULES.iter().map(|rule| rule.name).filter(|name| !ABOUT_KEEPS.contains(name)))
}

fn mends(music: &Music, finding: &Finding) -> Vec<Mend> {
    let name = finding.span.of(music.text);
    let near = near(name).filter(|_| rule(name).is_none());
    let write = |near: &str| Mend::risky(format!("write `{near}`"), vec![Edit::replace(finding.span, near)]);
    near.map(write).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::RULE;
    use crate::testing::Piece;
    use crate::{RULES, Settings, check, rule};

    #[test]
    fn it_is_asked_last() {
        assert_eq!(RULES.last().map(|rule| rule.name), Some(RULE.name));
    }

    #[test]
    fn each_rule_of_a_keep_has_to_find_something() {
        assert_eq!(
            Piece::jig("| 3:0 t |  # keep short-bar, long-bar: it stops here").says("unused-keep"),
            ["long-bar at the tune: `long-bar` finds nothing here; take this out"]
        );
        assert_eq!(
            Piece::jig("# keep short-bar: no more\n\n| 3:0-- 3:0-- |").says("unused-keep"),
            ["short-bar at the tune: `short-bar` finds nothing here; take this out"]
        );
    }

    #[test]
    fn a_keep_does_not_keep_itself() {
        assert_eq!(
            Piece::jig("# keep unused-keep, keep-without-reason: please\n| 3:0-- 3:0-- | # keep long-bar: x")
                .says("unused-keep"),
            [
                "unused-keep at the tune: `unused-keep` cannot be kept; take the comment out",
                "keep-without-reason at the tune: `keep-without-reason` cannot be kept; take the comment out",
                "long-bar at the tune: `long-bar` finds nothing here; take this out",
            ]
        );
    }

    #[test]
    fn a_rule_that_is_off_or_needs_the_whole_book_is_passed_over() {
        let text = "tune: T  # keep same-title, untidy: two of us wrote it\nmeter: 6/8\n\npart A\n\
                    | 3:0-- 3:0-- |  # keep short-bar: it was once\n";
        let mut settings = Settings::default();
        settings.set_level(rule("short-bar").unwrap(), None);
        let piece = Piece::with(text, settings);
        let found = check(&piece.music(), &piece.settings);
        assert!(found.iter().all(|finding| finding.rule.rule().name != RULE.name), "{found:?}");
    }
}
