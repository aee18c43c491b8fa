use crate::{BarContent, BarId, Section, SectionId, SectionKind, Tune};

/// The most bars a tune may unfold to; phrases in phrases could otherwise double without end.
pub const LONGEST: usize = 100_000;

/// How deep phrases may call phrases.
pub const DEEPEST: u32 = 16;

/// One time through a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pass {
    /// The part.
    pub part: SectionId,
    /// The ending it takes, where it has any.
    pub ending: Option<SectionId>,
}

/// A bar met in playing for the first time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Meeting {
    /// The bar as written.
    pub bar: BarId,
    /// The bar played just before it that first time; none at the start of the tune, and for phrases
    /// that nothing calls.
    pub before: Option<BarId>,
}

impl Tune {
    /// The parts with their numbers.
    pub fn parts(&self) -> impl Iterator<Item = (SectionId, &Section)> {
        self.numbered().filter(|(_, section)| matches!(section.kind, SectionKind::Part { .. }))
    }

    /// The endings of `part` with their numbers and passes.
    pub fn endings(&self, part: SectionId) -> impl Iterator<Item = (SectionId, &[u32])> {
        // They stand straight below their part.
        let first = part.0 + 1;
        let below = self.sections.get(first as usize..).unwrap_or_default();
        (first..).map(SectionId).zip(below).map_while(move |(id, section)| match &section.kind {
            SectionKind::Ending { of, passes } if *of == part => Some((id, passes.as_slice())),
            _ => None,
        })
    }

    fn numbered(&self) -> impl Iterator<Item = (SectionId, &Section)> {
        (0..).map(SectionId).zip(&self.sections)
    }

    /// Every time through a part, in playing order.
    pub fn passes(&self) -> Vec<Pass> {
        let mut passes: Vec<Pass> = Vec::new();
        let mut add = |part: SectionId, number: u32| {
            let fitting = self.endings(part).find(|(_, numbers)| numbers.contains(&number));
            let ending = fitting.or_else(|| self.endings(part).last()).map(|(id, _)| id);
            passes.push(Pass { part, ending });
        };
        if self.header.order.is_empty() {
            for (id, part) in self.parts() {
                let SectionKind::Part { times, .. } = part.kind else { continue };
                (1..=times).for_each(|number| add(id, number));
            }
            return passes;
        }
        let (mut last, mut number) = (None, 0);
        for name in &self.header.order {
            let Some((id, _)) = self.parts().find(|(_, part)| part.name == *name) else { continue };
            number = if last == Some(id) { number + 1 } else { 1 };
            last = Some(id);
            add(id, number);
        }
        passes
    }

    /// Every written bar once, in the order in which playing first meets it, with the bar before it.
    ///
    /// Parts are taken in the order of the text, so that a tune whose order leaves one out is whole all
    /// the same; phrases where they are first called, and those that nothing calls at the end.
    pub fn meetings(&self) -> Vec<Meeting> {
        let mut met = Meetings {
            tune: self,
            met: vec![false; self.bars.len()],
            meetings: Vec::with_capacity(self.bars.len()),
        };
        let (mut last, mut body) = (None, None);
        for section in &self.sections {
            match section.kind {
                SectionKind::Part { .. } => {
                    last = met.bars(section, last, 0);
                    body = last;
                }
                SectionKind::Ending { .. } => last = met.bars(section, body, 0),
                SectionKind::Phrase => {}
            }
        }
        for phrase in self.sections.iter().filter(|section| section.kind == SectionKind::Phrase) {
            met.bars(phrase, None, 0);
        }
        met.meetings
    }
}

struct Meetings<'t> {
    tune: &'t Tune,
    met: Vec<bool>,
    meetings: Vec<Meeting>,
}

impl Meetings<'_> {
    /// Meets the bars of `section`, `depth` calls deep, after the bar `last`; answers the last bar played.
    fn bars(&mut self, section: &Section, mut last: Option<BarId>, depth: u32) -> Option<BarId> {
        for (id, bar) in self.tune.bars_of(section) {
            if std::mem::replace(&mut self.met[id.index()], true) {
                // Met before: what it leaves behind is what it left the first time.
                last = Some(id);
                continue;
            }
            match &bar.content {
                BarContent::Slots => {
                    self.meetings.push(Meeting { bar: id, before: last });
                    last = Some(id);
                }
                // It leaves behind what the bar it repeats left.
                BarContent::Again => {}
                BarContent::Phrase { section, .. } => {
                    if let Some(phrase) = section.filter(|_| depth < DEEPEST) {
                        last = self.bars(&self.tune.sections[phrase.index()], last, depth + 1);
                    }
                }
            }
        }
        last
    }
}
