use std::sync::Arc;

use lope_rules::{Edit, Finding, RuleId, Settings, apply, mend_all};
use lope_syntax::tunes;

use crate::{Page, Reading, edits_between};

/// A file after all safe mends.
pub struct Mended {
    /// Its text.
    pub text: String,
    /// How many mends were made.
    pub mends: usize,
}

/// How often mends are made and the tune read again. A mend can uncover another finding, and two that
/// want the same text take turns; what is left after this many rounds goes round in circles.
const ROUNDS: usize = 32;

/// Which findings are to be mended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope<'s> {
    /// All.
    All,
    /// Those of one rule.
    Rule(RuleId),
    /// Those in one part, its endings included.
    Part {
        /// The title of the tune it is in.
        tune: &'s str,
        /// Its name.
        part: &'s str,
    },
}

impl Scope<'_> {
    fn holds(self, reading: &Reading, finding: &Finding) -> bool {
        match self {
            Self::All => true,
            Self::Rule(rule) => finding.rule == rule,
            Self::Part { tune, part } => {
                let written = reading.written();
                let sections = written.tune.sections.iter().zip(&written.source.sections);
                let mut named = sections.filter(|(section, _)| section.is_part() && section.name == part);
                written.tune.header.title == tune
                    && named.any(|(_, place)| place.whole.overlaps(finding.span))
            }
        }
    }
}

impl Reading {
    /// This tune after all safe mends, and how many there were; none where nothing changes. A tune that was
    /// tidy is left tidy.
    pub fn mended(&self) -> Option<(Reading, usize)> {
        self.mended_in(Scope::All)
    }

    /// This tune after the safe mends of what `scope` holds, like [`Reading::mended`].
    pub fn mended_in(&self, scope: Scope<'_>) -> Option<(Reading, usize)> {
        let mut mends = 0;
        let mut latest = None;
        for _ in 0..ROUNDS {
            let reading = latest.as_ref().unwrap_or(self);
            let findings = reading.findings().iter().filter(|finding| scope.holds(reading, finding));
            let round = mend_all(&reading.music(), &findings.cloned().collect::<Vec<_>>());
            if round.mends == 0 {
                break;
            }
            mends += round.mends;
            latest = Some(Reading::new(apply(reading.text(), &round.edits), self.settings()));
        }
        let latest = latest?;
        Some((if self.is_tidy() { latest.tidied() } else { latest }, mends))
    }

    /// This tune after `edits`, such as those of a mend. A tune that was tidy is left tidy.
    pub fn after(&self, edits: &[Edit]) -> Self {
        let edited = Self::new(apply(self.text(), edits), self.settings());
        if self.is_tidy() { edited.tidied() } else { edited }
    }
}

impl Page {
    /// The edits that make the safe mends of what `scope` holds in the file, in order; their spans count from
    /// its start.
    pub fn mend_edits(&self, scope: Scope<'_>) -> Vec<Edit> {
        self.entries()
            .filter_map(|entry| {
                let (mended, _) = entry.reading.mended_in(scope)?;
                Some(edits_between(entry.reading.text(), mended.text(), entry.offset))
            })
            .flatten()
            .collect()
    }
}

impl Mended {
    /// Makes all safe mends in a file's text.
    pub fn new(text: &str, settings: &Arc<Settings>) -> Self {
        let mut mended = Self { text: String::with_capacity(text.len()), mends: 0 };
        for range in tunes(text) {
            let reading = Reading::new(&text[range], settings);
            match reading.mended() {
                Some((reading, mends)) => {
                    mended.text.push_str(reading.text());
                    mended.mends += mends;
                }
                None => mended.text.push_str(reading.text()),
            }
        }
        mended
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(music: &str, expected: &str) {
        let tune = |music| format!("tune: Two Rows\nmeter: 6/8\n\npart A\n{music}\n");
        assert_eq!(Mended::new(&tune(music), &Arc::default()).text, tune(expected));
    }

    #[test]
    fn only_what_the_scope_holds_is_mended() {
        let stumble = |title: &str| {
            format!(
                "tune: {title}\nmeter: 6/8\n\npart A\n| 3:0 t h2  1:0 t 1:0 |\npart B\n| 3:0 t h2  1:0 t- |\n"
            )
        };
        let text = stumble("One") + &stumble("Two");
        let page = Page::read(&text, &Arc::default());
        let mended = |scope| {
            let edits = page.mend_edits(scope);
            let lines = edits.iter().map(|edit| text[..edit.span.start as usize].matches('\n').count());
            lines.zip(&edits).map(|(line, edit)| format!("{line}: {}", edit.text)).collect::<Vec<_>>()
        };
        assert_eq!(mended(Scope::Part { tune: "Two", part: "A" }), ["11: 3:"]);
        assert_eq!(mended(Scope::Part { tune: "Two", part: "C" }), [""; 0]);
        assert_eq!(
            mended(Scope::Rule(lope_rules::rule("off-strike").unwrap())),
            ["4: 3:", "6: 3:", "11: 3:", "13: 3:"]
        );
        assert!(mended(Scope::All).len() >= 4);
    }

    #[test]
    fn one_mend_leaves_a_tidy_tune_tidy() {
        let bars = "| 3:0 t h2  1:0 t 1:0  | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 t 3:0  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |";
        let reading =
            Reading::new(format!("tune: Two Rows\nmeter: 6/8\n\npart A\n{bars}\n"), &Arc::default());
        assert!(reading.is_tidy());
        let mend = reading.mends(&reading.findings()[0]).into_iter().next().unwrap();
        assert!(!Reading::new(apply(reading.text(), &mend.edits), reading.settings()).is_tidy());
        let after = reading.after(&mend.edits);
        assert!(after.is_tidy() && after.text().contains("t 3:2"), "{}", after.text());
    }

    #[test]
    fn a_tidy_tune_is_left_tidy_and_an_untidy_one_as_it_is() {
        check(
            "| 3:0 t h2  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 h2 2:0  1:0- - | 2:0 t 2:0  1:0 t 1:0 |",
            "| 3:0 t 3:2  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 h2 2:0  1:0- - | 2:0 t 2:0  1:0 t 1:0 |",
        );
        check(
            "| 3:0 t h2  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 h2 2:0  1:0- -  | 2:0 t 2:0  1:0 t 1:0 |",
            "| 3:0 t 3:2  1:0 t 1:0 | 2:0 t 2:0  1:0 t 1:0 |\n| 3:0 h2 2:0  1:0- -   | 2:0 t 2:0  1:0 t 1:0 |",
        );
    }
}
