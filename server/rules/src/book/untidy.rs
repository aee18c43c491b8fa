use lope_syntax::Span;

use crate::registry::no_mends;
use crate::{About, Example, Family, Finding, Page, Place, Rule, Settings, rule};

/// What is tidy only the formatter knows, which stands on the same floor as the rules: whoever has both
/// asks it, and makes the answer a finding with [`untidy`].
pub static RULE: Rule = Rule {
    name: "untidy",
    level: None,
    family: Family::Tune,
    page: Page {
        finds: "A tune that is not written as `lope tidy` would leave it.",
        why: "Tidy tunes read alike: one blank between the slots of a group, two between groups, bars in \
              columns. And whoever compares two versions sees the notes that changed, and no blanks. The \
              rule is off unless `lope.toml` turns it on.",
        example: Example {
            bad: "\
tune: Ropes Everywhere
meter: 6/8

part A
|3:0  t 2:0 1:0 t 2:0|
",
            good: "\
tune: Ropes Everywhere
meter: 6/8

part A
| 3:0 t 2:0  1:0 t 2:0 |
",
        },
        mend: "",
    },
    check: None,
    mends: no_mends,
};

/// The finding for a tune that `lope tidy` would change first at `span`; none where the rule is off.
///
/// The caller asks [`crate::is_kept`] whether a comment keeps it.
pub fn untidy(settings: &Settings, span: Span) -> Option<Finding> {
    let rule = rule(RULE.name)?;
    Some(Finding {
        rule,
        level: settings.level(rule)?,
        span,
        place: Place::default(),
        message: "this is not as `lope tidy` would leave it".to_owned(),
        about: About::Text,
        related: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Level;

    #[test]
    fn it_is_off_until_it_is_turned_on() {
        let mut settings = Settings::default();
        assert_eq!(untidy(&settings, Span::empty(0)), None);
        settings.set_level(rule("untidy").unwrap(), Some(Level::Warning));
        assert_eq!(untidy(&settings, Span::empty(0)).map(|finding| finding.level), Some(Level::Warning));
    }
}
