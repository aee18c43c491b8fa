use std::ops::Range;

use lope_syntax::nearest;

use super::Reader;
use crate::{BarContent, DEEPEST, IssueKind, LONGEST, SectionId, SectionKind};

impl Reader<'_> {
    /// Finds the phrase each call means; reports calls of none, phrases no one calls, and circles.
    pub(super) fn settle_phrases(&mut self) {
        let phrases: Vec<(String, SectionId)> = (0..)
            .map(SectionId)
            .zip(&self.tune.sections)
            .filter(|(_, section)| section.kind == SectionKind::Phrase)
            .map(|(id, section)| (section.name.clone(), id))
            .collect();
        let mut called = vec![false; self.tune.sections.len()];
        for at in 0..self.tune.bars.len() {
            let BarContent::Phrase { name, section } = &mut self.tune.bars[at].content else { continue };
            *section = phrases.iter().find(|(phrase, _)| phrase == name).map(|(_, id)| *id);
            match section {
                Some(id) => called[id.index()] = true,
                None => {
                    let nearest =
                        nearest(name, phrases.iter().map(|(name, _)| name.as_str())).map(str::to_owned);
                    let kind = IssueKind::UnknownPhrase { name: name.clone(), nearest };
                    self.issue(kind, self.source.bars[at].span);
                }
            }
        }
        for (name, id) in phrases.iter().filter(|(_, id)| !called[id.index()]) {
            self.issue(IssueKind::UnusedPhrase(name.clone()), self.source.sections[id.index()].heading);
        }
        if !phrases.is_empty() {
            let sizes = self.cut_circles();
            self.settle_length(&sizes);
        }
    }

    /// Reports phrases that call themselves, by way of others or not, and makes each call that closes a
    /// circle call nothing; answers what each section unfolds to.
    ///
    /// Follows calls from every section down to phrases that call none or are settled: a call of a phrase
    /// that is still being followed closes a circle. A circle with a phrase that is already reported is
    /// only cut, so that one slip gives one finding.
    fn cut_circles(&mut self) -> Vec<Size> {
        let count = self.tune.sections.len();
        let mut settled: Vec<Option<Size>> = vec![None; count];
        let mut on_path: Vec<Option<usize>> = vec![None; count];
        let mut reported = vec![false; count];
        let mut path: Vec<Step> = Vec::new();
        for start in 0..count {
            if settled[start].is_none() {
                on_path[start] = Some(0);
                path.push(self.step(start));
            }
            while let Some(step) = path.last_mut() {
                let Some((bar, phrase)) = self.next_call(&mut step.left) else {
                    (settled[step.of], on_path[step.of]) = (Some(step.size), None);
                    path.pop();
                    continue;
                };
                step.call = bar;
                if let Some(size) = settled[phrase] {
                    step.size.add(size);
                } else if let Some(from) = on_path[phrase] {
                    self.cut_circle(&path[from..], &mut reported);
                } else {
                    // Its caller comes to the same call again once it is settled.
                    step.left.start = bar;
                    on_path[phrase] = Some(path.len());
                    path.push(self.step(phrase));
                }
            }
        }
        settled.into_iter().map(Option::unwrap_or_default).collect()
    }

    fn step(&self, of: usize) -> Step {
        let left = self.tune.sections[of].bars.clone();
        Step { of, call: left.start, size: Size { bars: left.len(), depth: 0 }, left }
    }

    /// The first call among the bars `left`, which it takes from them, and the phrase it means.
    fn next_call(&self, left: &mut Range<u32>) -> Option<(u32, usize)> {
        left.find_map(|bar| match self.tune.bars[bar as usize].content {
            BarContent::Phrase { section: Some(phrase), .. } => Some((bar, phrase.index())),
            _ => None,
        })
    }

    /// Makes the call that closes `circle` call nothing, and reports it.
    fn cut_circle(&mut self, circle: &[Step], reported: &mut [bool]) {
        let [first, ..] = circle else { return };
        let closing = circle[circle.len() - 1].call as usize;
        if let BarContent::Phrase { section, .. } = &mut self.tune.bars[closing].content {
            *section = None;
        }
        if circle.iter().any(|step| reported[step.of]) {
            return;
        }
        circle.iter().for_each(|step| reported[step.of] = true);
        let names = circle.iter().chain([first]).map(|step| self.tune.sections[step.of].name.clone());
        self.issue(IssueKind::CirclingPhrase(names.collect()), self.source.bars[closing].span);
    }

    /// Reports a tune whose phrases unfold to more than can be played.
    fn settle_length(&mut self, sizes: &[Size]) {
        let deepest = sizes.iter().map(|size| size.depth).max().unwrap_or_default();
        let bars = self.tune.passes().iter().fold(0_usize, |bars, pass| {
            let ending = pass.ending.map_or(0, |ending| sizes[ending.index()].bars);
            bars.saturating_add(sizes[pass.part.index()].bars).saturating_add(ending)
        });
        let expected = if deepest > DEEPEST as usize {
            format!("phrases that call phrases at most {DEEPEST} deep; these go {deepest} deep")
        } else if bars > LONGEST {
            format!("a tune of at most {LONGEST} bars; the phrases unfold to more")
        } else {
            return;
        };
        let call = self.tune.bars.iter().position(|bar| matches!(bar.content, BarContent::Phrase { .. }));
        let span = call.map(|at| self.source.bars[at].span).unwrap_or_default();
        self.bad_value("phrase", span.of(self.text), expected, span);
    }

    /// Numbers the bars as a player counts them.
    pub(super) fn settle_numbers(&mut self) {
        let mut after = vec![0; self.tune.sections.len()];
        for at in 0..self.tune.sections.len() {
            let section = &self.tune.sections[at];
            let mut number = match section.kind {
                SectionKind::Part { pickup: true, .. } => 0,
                SectionKind::Ending { of, .. } if of.index() != at => after[of.index()],
                _ => 1,
            };
            for bar in section.bars.clone() {
                self.source.bars[bar as usize].number = number;
                number += match self.tune.bars[bar as usize].content {
                    // A phrase counts for the bars written in it; what those call is counted once.
                    BarContent::Phrase { section: Some(phrase), .. } => {
                        self.tune.sections[phrase.index()].bars.len() as u32
                    }
                    _ => 1,
                };
            }
            after[at] = number;
        }
    }
}

/// A section whose calls are being followed.
struct Step {
    of: usize,
    /// The bar of the call that is followed.
    call: u32,
    /// The bars whose calls are still to be followed.
    left: Range<u32>,
    /// What the bars before those unfold to.
    size: Size,
}

/// What a section unfolds to.
#[derive(Clone, Copy, Debug, Default)]
struct Size {
    bars: usize,
    depth: usize,
}

impl Size {
    /// Adds what a phrase unfolds to that is called.
    fn add(&mut self, called: Self) {
        self.bars = self.bars.saturating_add(called.bars);
        self.depth = self.depth.max(called.depth + 1);
    }
}
