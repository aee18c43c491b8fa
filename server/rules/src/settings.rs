use lope_tune::{Defaults, Neck};

use crate::{Level, RULES, RuleId};

/// What a book says about its tunes: which rules count, the neck, the defaults of fields.
#[derive(Clone, Debug)]
pub struct Settings {
    levels: Vec<Option<Level>>,
    /// The neck the tunes are played on.
    pub neck: Neck,
    /// What stands for fields a tune leaves out.
    pub defaults: Defaults,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            levels: RULES.iter().map(|rule| rule.level).collect(),
            neck: Neck::default(),
            defaults: Defaults::default(),
        }
    }
}

impl Settings {
    /// The level of `rule`; none when it is off.
    pub fn level(&self, rule: RuleId) -> Option<Level> {
        self.levels[usize::from(rule.0)]
    }

    /// Sets the level of `rule`; none turns it off.
    pub fn set_level(&mut self, rule: RuleId, level: Option<Level>) {
        self.levels[usize::from(rule.0)] = level;
    }
}
