use crate::Level;

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
pub static RULES: &[&Rule] = &[];

/// The rule called `name`.
pub fn rule(name: &str) -> Option<RuleId> {
    (0_u8..).zip(RULES).find(|(_, rule)| rule.name == name).map(|(at, _)| RuleId(at))
}
