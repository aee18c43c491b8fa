use std::ops::Range;

use lope_rules::{Edit, Finding, Settings, is_kept, untidy};
use lope_syntax::{Span, Tree, parse, tunes};
use lope_tidy::{Gap, Next, tidy};

use crate::Page;

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
            let music = entry.reading.music();
            let gaps = tidy(music.text, music.tree, entry.reading.written(), next(at, last));
            let inside = |gap: &Gap| {
                let gap = entry.bytes(gap.span);
                bytes.start <= gap.start && gap.end <= bytes.end
            };
            edits.extend(gaps.into_iter().filter(inside).map(|gap| edit(gap, entry.offset as u32)));
        }
        edits
    }
}

/// The gaps of a tune that are not tidy. Its end is not judged: that depends on what follows in the file.
pub fn untidy_gaps(text: &str, tree: &Tree, written: &lope_tune::Reading) -> impl Iterator<Item = Gap> {
    let end = text.len();
    tidy(text, tree, written, Next::End).into_iter().filter(move |gap| (gap.span.end as usize) < end)
}

/// The edit that makes `gap`, of a tune that starts at the byte `offset` of its file.
pub fn edit(gap: Gap, offset: u32) -> Edit {
    Edit { span: Span::new(offset + gap.span.start, offset + gap.span.end), text: gap.blanks }
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
        edits.extend(tidy(tune, &tree, &reading, next(at, last)).into_iter().map(|gap| edit(gap, offset)));
    }
    lope_rules::apply(text, &edits)
}

/// The finding for a tune that is not tidy, where its rule is on.
pub fn untidy_finding(
    text: &str,
    tree: &Tree,
    reading: &lope_tune::Reading,
    settings: &Settings,
) -> Option<Finding> {
    // With the rule off, which is the default, nobody pays for asking.
    let mut finding = untidy(settings, Span::default())?;
    finding.span = untidy_gaps(text, tree, reading).next()?.span;
    (!is_kept(text, tree, finding.rule, finding.span)).then_some(finding)
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
