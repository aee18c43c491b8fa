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

    /// The phrases `section` calls.
    fn calls(&self, section: usize) -> impl Iterator<Item = (usize, usize)> {
        let bars = self.tune.sections[section].bars.clone();
        bars.filter_map(|at| match self.tune.bars[at as usize].content {
            BarContent::Phrase { section: Some(phrase), .. } => Some((at as usize, phrase.index())),
            _ => None,
        })
    }

    /// Reports phrases that call themselves and makes the calls among them call nothing; answers how many
    /// bars each section unfolds to, and how deep its calls go.
    ///
    /// Sections are settled once all they call is settled; what is never settled goes round in circles.
    fn cut_circles(&mut self) -> Vec<Size> {
        let count = self.tune.sections.len();
        let mut callers = vec![Vec::new(); count];
        let mut open: Vec<usize> = (0..count).map(|section| self.calls(section).count()).collect();
        for section in 0..count {
            self.calls(section).for_each(|(_, phrase)| callers[phrase].push(section));
        }
        let mut sizes = vec![Size::default(); count];
        let mut ready: Vec<usize> = (0..count).filter(|section| open[*section] == 0).collect();
        let mut settled = vec![false; count];
        while let Some(section) = ready.pop() {
            settled[section] = true;
            sizes[section] = self.size(section, &sizes);
            for caller in &callers[section] {
                open[*caller] -= 1;
                if open[*caller] == 0 {
                    ready.push(*caller);
                }
            }
        }
        self.report_circles(&mut settled);
        sizes
    }

    fn size(&self, section: usize, sizes: &[Size]) -> Size {
        let own = self.tune.sections[section].bars.len();
        self.calls(section).fold(Size { bars: own, depth: 0 }, |size, (_, phrase)| Size {
            bars: size.bars.saturating_add(sizes[phrase].bars),
            depth: size.depth.max(sizes[phrase].depth + 1),
        })
    }

    /// From every phrase that is not settled, follows calls until one comes round again.
    fn report_circles(&mut self, settled: &mut [bool]) {
        for start in 0..settled.len() {
            while !settled[start] && self.tune.sections[start].kind == SectionKind::Phrase {
                let circle = self.circle_from(start, settled);
                if let Some(first) = circle.first() {
                    let names =
                        circle.iter().chain([first]).map(|call| self.tune.sections[call.of].name.clone());
                    let kind = IssueKind::CirclingPhrase(names.collect());
                    self.issue(kind, self.source.bars[circle[circle.len() - 1].bar].span);
                } else {
                    settled[start] = true;
                }
                for call in circle {
                    settled[call.of] = true;
                    if let BarContent::Phrase { section, .. } = &mut self.tune.bars[call.bar].content {
                        *section = None;
                    }
                }
            }
        }
    }

    /// The calls of the circle that the calls from `start` run into, if they do.
    fn circle_from(&self, start: usize, settled: &[bool]) -> Vec<Call> {
        let mut path: Vec<Call> = Vec::new();
        let mut of = start;
        while let Some((bar, next)) = self.calls(of).find(|(_, phrase)| !settled[*phrase]) {
            path.push(Call { of, bar });
            if let Some(from) = path.iter().position(|call| call.of == next) {
                return path.split_off(from);
            }
            of = next;
        }
        Vec::new()
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

/// The first call a phrase makes on its way round a circle.
struct Call {
    of: usize,
    bar: usize,
}

/// What a section unfolds to.
#[derive(Clone, Copy, Debug, Default)]
struct Size {
    bars: usize,
    depth: usize,
}
