use std::ops::Range;
use std::sync::OnceLock;

use lope_rules::{Edit, Finding, Settings, is_kept, untidy};
use lope_syntax::{Span, parse, tunes};
use lope_tidy::{Gap, Next, tidy};

use crate::{Page, Reading};

/// The gaps of a tune that are not tidy, by what follows it in its file; worked out when they are asked for.
#[derive(Default)]
pub struct Gaps {
    before_tune: OnceLock<Box<[Gap]>>,
    at_end: OnceLock<Box<[Gap]>>,
}

impl Reading {
    /// The gaps that are not tidy where `next` follows.
    fn gaps_before(&self, next: Next) -> &[Gap] {
        let known = match next {
            Next::Tune => &self.gaps().before_tune,
            Next::End => &self.gaps().at_end,
        };
        known.get_or_init(|| tidy(self.text(), self.tree(), self.written(), next).into())
    }

    /// The gaps that are not tidy. The end is not judged: that depends on what follows in the file.
    pub(crate) fn untidy_gaps(&self) -> impl Iterator<Item = &Gap> {
        let end = self.text().len();
        self.gaps_before(Next::End).iter().filter(move |gap| (gap.span.end as usize) < end)
    }

    /// Whether there is none.
    pub(crate) fn is_tidy(&self) -> bool {
        self.untidy_gaps().next().is_none()
    }

    /// The same, tidy.
    pub(crate) fn tidied(self) -> Self {
        let edits: Vec<Edit> = self.untidy_gaps().map(|gap| edit(gap, 0)).collect();
        if edits.is_empty() {
            self
        } else {
            Self::new(lope_rules::apply(self.text(), &edits), self.settings())
        }
    }

    /// The finding that it is not tidy, where its rule is on.
    pub(crate) fn untidy_finding(&self) -> Option<Finding> {
        // With the rule off, which is the default, nobody pays for asking.
        let mut finding = untidy(self.settings(), Span::default())?;
        finding.span = self.untidy_gaps().next()?.span;
        (!is_kept(self.text(), self.tree(), finding.rule, finding.span)).then_some(finding)
    }
}

impl Page {
    /// The edits that make the file tidy, in order; their spans count from its start.
    pub fn tidy_edits(&self) -> Vec<Edit> {
        self.tidy_edits_in(0..self.size())
    }

    /// The edits of [`Page::tidy_edits`] inside `bytes`: only the tunes there are looked at.
    pub fn tidy_edits_in(&self, bytes: Range<usize>) -> Vec<Edit> {
        let last = self.entries().count().saturating_sub(1);
        let mut edits = Vec::new();
        for (at, entry) in self.entries().enumerate() {
            if entry.offset > bytes.end {
                break;
            }
            if entry.offset + entry.reading.text().len() < bytes.start {
                continue;
            }
            let inside = |gap: &&Gap| {
                let gap = entry.bytes(gap.span);
                bytes.start <= gap.start && gap.end <= bytes.end
            };
            let gaps = entry.reading.gaps_before(next(at, last)).iter();
            edits.extend(gaps.filter(inside).map(|gap| edit(gap, entry.offset as u32)));
        }
        edits
    }
}

/// The edit that makes `gap`, of a tune that starts at the byte `offset` of its file.
pub fn edit(gap: &Gap, offset: u32) -> Edit {
    Edit { span: Span::new(offset + gap.span.start, offset + gap.span.end), text: gap.blanks.clone() }
}

/// A file's text, tidy.
pub fn tidied(text: &str, settings: &Settings) -> String {
    let tunes = tunes(text);
    let last = tunes.len() - 1;
    let mut edits = Vec::new();
    for (at, range) in tunes.into_iter().enumerate() {
        let (offset, tune) = (range.start as u32, &text[range]);
        let tree = parse(tune);
        let reading = lope_tune::read(tune, &tree, &settings.defaults);
        edits.extend(tidy(tune, &tree, &reading, next(at, last)).iter().map(|gap| edit(gap, offset)));
    }
    lope_rules::apply(text, &edits)
}

fn next(at: usize, last: usize) -> Next {
    if at < last { Next::Tune } else { Next::End }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use lope_rules::{Level, apply, rule};

    use super::*;

    const UNTIDY: &str = "tune: A\nmeter: 6/8\npart A\n|1:0 t 2:0 1:0 t 2:0|\n\n\ntune: B\nmeter:  6/8\n\n";
    const TIDY: &str = "tune: A\nmeter: 6/8\n\npart A\n| 1:0 t 2:0  1:0 t 2:0 |\n\ntune: B\nmeter: 6/8\n";

    #[test]
    fn a_file_is_tidied_alike_at_the_terminal_and_in_an_editor() {
        let settings = Arc::new(Settings::default());
        assert_eq!(tidied(UNTIDY, &settings), TIDY);
        assert_eq!(apply(UNTIDY, &Page::read(UNTIDY, &settings).tidy_edits()), TIDY);
        assert_eq!(Page::read(TIDY, &settings).tidy_edits(), []);
        assert_eq!(tidied("", &settings), "");
    }

    #[test]
    fn a_stretch_is_tidied_alone() {
        let page = Page::read(UNTIDY, &Arc::default());
        let edits = |from: &str, to: &str| {
            page.tidy_edits_in(UNTIDY.find(from).unwrap()..UNTIDY.find(to).unwrap() + to.len())
        };
        let all = page.tidy_edits();
        assert_eq!(edits("tune: A", " 6/8\n\n"), all);
        assert_eq!(edits("tune: B", "6/8\n\n"), all[all.len() - 2..]);
        assert_eq!(edits("t 2:0", "2:0 1"), [all[2].clone()]);
        assert_eq!(edits("meter: 6", "/8"), []);
        assert_eq!(page.tidy_edits_in(900..999), []);
    }

    #[test]
    fn an_untidy_tune_is_found_once_where_the_rule_is_on() {
        let mut settings = Settings::default();
        settings.set_level(rule("untidy").unwrap(), Some(Level::Hint));
        let settings = Arc::new(settings);
        let found = |text: &str| {
            let page = Page::read(text, &settings);
            page.findings()
                .map(|(entry, finding)| (finding.rule.rule().name, entry.bytes(finding.span).start))
                .collect::<Vec<_>>()
        };
        let untidy = |text| found(text).into_iter().filter(|(name, _)| *name == "untidy").collect::<Vec<_>>();
        assert_eq!(untidy(UNTIDY), [("untidy", 18), ("untidy", UNTIDY.find("  6/8").unwrap())]);
        assert_eq!(untidy(TIDY), []);
        assert_eq!(untidy(&UNTIDY.replace("6/8\npart A", "6/8 # keep untidy: mine\npart A")).len(), 1);
    }
}
