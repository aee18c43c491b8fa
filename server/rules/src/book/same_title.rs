use std::collections::HashMap;

use lope_syntax::Span;

use crate::registry::no_mends;
use crate::{About, Example, Family, Finding, Level, Page, Place, Rule, Settings, rule};

/// Which tunes share a title only the whole book shows: [`same_titles`] finds them, [`same_title`] makes
/// each a finding.
pub static RULE: Rule = Rule {
    name: "same-title",
    level: Some(Level::Hint),
    family: Family::Tune,
    page: Page {
        finds: "A tune whose title an earlier tune of the book has as well; capitals and blanks make no \
                difference.",
        why: "Somebody calls the tune, and half the table turns to the other page. Two settings of one tune \
              are best told apart in the title.",
        example: Example {
            bad: "\
tune: The Long Jetty
meter: 6/8

part A
| 3:0 t 2:0  1:0 t 2:0 |

tune: the long jetty
meter: 4/4

part A
| 3:0 t 2:0 t  1:0 t 2:0 t |
",
            good: "\
tune: The Long Jetty
meter: 6/8

part A
| 3:0 t 2:0  1:0 t 2:0 |

tune: The Long Jetty, as a Reel
meter: 4/4

part A
| 3:0 t 2:0 t  1:0 t 2:0 t |
",
        },
        mend: "",
    },
    check: None,
    mends: no_mends,
};

/// Of `titles`, the titles of a book's tunes in their order, each that an earlier tune has as well, with
/// the first that has it: their places in `titles`. Tunes without a title share none.
pub fn same_titles<'t>(titles: impl IntoIterator<Item = &'t str>) -> Vec<(usize, usize)> {
    let mut first_with = HashMap::new();
    let mut same = Vec::new();
    for (at, title) in titles.into_iter().enumerate() {
        let Some(called) = called(title) else { continue };
        let first = *first_with.entry(called).or_insert(at);
        if first != at {
            same.push((at, first));
        }
    }
    same
}

/// What a tune with `title` is called when titles are compared: capitals and blanks make no difference. Nothing
/// for a title without a word.
pub fn called(title: &str) -> Option<String> {
    let words: Vec<String> = title.split_whitespace().map(str::to_lowercase).collect();
    (!words.is_empty()).then(|| words.join(" "))
}

/// The finding for the tune whose title is at `span`, when the tune at `first`, a place in words such as
/// `jigs.lope, line 12`, has it as well; none where the rule is off.
///
/// The caller asks [`crate::is_kept`] whether a comment keeps it.
pub fn same_title(settings: &Settings, span: Span, first: &str) -> Option<Finding> {
    let rule = rule(RULE.name)?;
    Some(Finding {
        rule,
        level: settings.level(rule)?,
        span,
        place: Place::default(),
        message: format!("another tune has this title: see {first}"),
        about: About::Text,
        related: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_later_tune_is_told_of_the_first() {
        let titles = ["The Jetty", "", "Kelp", "the  jetty ", "", "THE JETTY", "kelp?"];
        assert_eq!(same_titles(titles), [(3, 0), (5, 0)]);
    }

    #[test]
    fn its_own_example_shows_it() {
        let titles = |book: &str| {
            let titles: Vec<String> =
                book.lines().filter_map(|line| Some(line.strip_prefix("tune: ")?.to_owned())).collect();
            same_titles(titles.iter().map(String::as_str))
        };
        assert_eq!(titles(RULE.page.example.bad), [(1, 0)]);
        assert_eq!(titles(RULE.page.example.good), []);
    }

    #[test]
    fn it_can_be_turned_off() {
        let mut settings = Settings::default();
        let found = same_title(&settings, Span::new(0, 4), "jigs.lope, line 12").unwrap();
        assert_eq!(found.message, "another tune has this title: see jigs.lope, line 12");
        settings.set_level(found.rule, None);
        assert_eq!(same_title(&settings, Span::new(0, 4), "jigs.lope, line 12"), None);
    }
}
