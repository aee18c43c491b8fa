use crate::book::{
    bad_value, circling_phrase, keep_without_reason, missing_field, same_title, unknown_field,
    unknown_phrase, unreadable, untidy, unused_keep, unused_phrase,
};
use crate::left::{hard_reach, off_the_neck, same_string_twice, slur_from_nothing, wrong_way};
use crate::right::{
    extra_strike, far_thumb, fast_falls, off_strike, thumb_crosses, thumb_on_first, thumb_unplanted,
};
use crate::time::{gait_misfit, long_bar, nothing_to_hold, part_length, pickup_unpaid, short_bar};
use crate::{Finding, Level, Mend, Music, Report};

/// A rule's place in [`RULES`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RuleId(pub u8);

impl RuleId {
    /// The rule itself.
    pub fn rule(self) -> &'static Rule {
        RULES[usize::from(self.0)]
    }
}

/// What a rule is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// The right hand.
    RightHand,
    /// The left hand.
    LeftHand,
    /// The time in bars and parts.
    Time,
    /// The tune's text and the book.
    Tune,
}

/// A rule.
pub struct Rule {
    /// Its name: kebab-case, in trade words.
    pub name: &'static str,
    /// Its level where no configuration says otherwise; none when it is off.
    pub level: Option<Level>,
    /// What it is about.
    pub family: Family,
    /// Its page.
    pub page: Page,
    /// Finds it in a tune; none for what only a whole file or book can show.
    pub check: Option<fn(&Music, &mut Report)>,
    /// The ways to put a finding of its own right, the best first.
    pub mends: fn(&Music, &Finding) -> Vec<Mend>,
}

/// The mends of a rule that has none.
pub(crate) const fn no_mends(_: &Music, _: &Finding) -> Vec<Mend> {
    Vec::new()
}

/// A rule's page.
pub struct Page {
    /// What it finds: one sentence.
    pub finds: &'static str,
    /// Why that matters to a player.
    pub why: &'static str,
    /// A tune in which it finds something, and what the first mend makes of it.
    pub example: Example,
    /// What its mends do; nothing for a rule without.
    pub mend: &'static str,
}

/// A whole small tune before and after.
pub struct Example {
    /// In which the rule finds something.
    pub bad: &'static str,
    /// In which it finds nothing.
    pub good: &'static str,
}

/// Every rule, in the order of the book of rules.
pub static RULES: &[&Rule] = &[
    &off_strike::RULE,
    &extra_strike::RULE,
    &far_thumb::RULE,
    &thumb_unplanted::RULE,
    &thumb_crosses::RULE,
    &thumb_on_first::RULE,
    &fast_falls::RULE,
    &wrong_way::RULE,
    &slur_from_nothing::RULE,
    &off_the_neck::RULE,
    &same_string_twice::RULE,
    &hard_reach::RULE,
    &short_bar::RULE,
    &long_bar::RULE,
    &pickup_unpaid::RULE,
    &part_length::RULE,
    &nothing_to_hold::RULE,
    &gait_misfit::RULE,
    &unreadable::RULE,
    &missing_field::RULE,
    &unknown_field::RULE,
    &bad_value::RULE,
    &unknown_phrase::RULE,
    &unused_phrase::RULE,
    &circling_phrase::RULE,
    &same_title::RULE,
    &untidy::RULE,
    &keep_without_reason::RULE,
    &unused_keep::RULE,
];

/// Every rule with its number.
pub(crate) fn numbered() -> impl Iterator<Item = (RuleId, &'static Rule)> {
    (0_u8..).map(RuleId).zip(RULES.iter().copied())
}

/// The rule called `name`.
pub fn rule(name: &str) -> Option<RuleId> {
    numbered().find(|(_, rule)| rule.name == name).map(|(id, _)| id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Piece;

    /// Every page is whole: its bad example fires the rule, its good one does not, and the first mend of
    /// the bad one, where there is one, makes the good one of it.
    #[test]
    fn every_page_is_whole_and_true() {
        for (id, rule) in numbered() {
            let (name, page) = (rule.name, &rule.page);
            assert!(name.bytes().all(|letter| letter.is_ascii_lowercase() || letter == b'-'), "{name}");
            assert_eq!(super::rule(name), Some(id), "{name} is there twice");
            for text in [page.finds, page.why] {
                assert!(
                    text.ends_with('.') && text.len() > 20,
                    "{name}: a page is made of sentences: {text}"
                );
            }
            if rule.check.is_none() {
                continue;
            }
            let (bad, good) = (Piece::new(page.example.bad), Piece::new(page.example.good));
            let found = bad.findings_of(name);
            assert!(!found.is_empty(), "{name} finds nothing in its bad example");
            assert_eq!(good.findings_of(name), [], "{name} finds something in its good example");
            let mends = bad.mends(&found[0]);
            assert_eq!(mends.is_empty(), page.mend.is_empty(), "{name}: the page says what the mends do");
            if let Some(mend) = mends.first() {
                assert_eq!(bad.mended(mend), page.example.good, "{name}: {}", mend.title);
            }
        }
    }

    #[test]
    fn messages_are_one_sentence_without_a_stop() {
        for rule in RULES.iter().filter(|rule| rule.check.is_some()) {
            for finding in Piece::new(rule.page.example.bad).findings_of(rule.name) {
                let message = finding.message;
                assert!(!message.ends_with('.') && !message.contains('\n'), "{message}");
                assert!(!message.starts_with(char::is_uppercase), "{message}");
            }
        }
    }
}
