use std::ops::Range;

use lope_tune::{BarContent, BarId, DEEPEST, Section, SectionId, SectionKind, Tune, play};

use super::{Closing, Content, Drawn, Ending, Heading, Opening, Score};

/// The most bars that are drawn: a few hundred pages. Phrases in phrases could otherwise double without end.
const MOST: usize = 20_000;

/// Writes out the bars of `tune` in the order of its text, with phrases where they are called.
pub fn unfold(tune: &Tune) -> Score {
    let mut unfolding = Unfolding {
        tune,
        bars: Vec::new(),
        inside: Vec::new(),
        calls: Vec::new(),
        next: 1,
        after_part: 1,
        steps: MOST * 4,
        places: vec![0..0; tune.sections.len()],
    };
    for (id, section) in (0..).map(SectionId).zip(&tune.sections) {
        if section.kind != SectionKind::Phrase {
            unfolding.section_of_its_own(id, section);
        }
    }
    for (id, section) in (0..).map(SectionId).zip(&tune.sections) {
        if section.kind == SectionKind::Phrase && !is_called(tune, id) {
            unfolding.section_of_its_own(id, section);
        }
    }
    let Unfolding { mut bars, places, .. } = unfolding;
    edges(tune, &mut bars, &places);
    let cut = bars.len() >= MOST;
    let played = played(tune, &bars, &places);
    Score { bars, played, cut }
}

struct Unfolding<'t> {
    tune: &'t Tune,
    bars: Vec<Drawn>,
    /// The phrases being written out, each called by the one before.
    inside: Vec<SectionId>,
    /// The calls whose first bar has not been drawn yet.
    calls: Vec<BarId>,
    next: u32,
    /// The number of the bar that comes after the part: where each of its endings goes on.
    after_part: u32,
    /// How many more written bars are looked at: phrases of nothing but calls never draw one.
    steps: usize,
    /// The drawn bars of each section that is drawn for itself.
    places: Vec<Range<usize>>,
}

impl Unfolding<'_> {
    fn section_of_its_own(&mut self, id: SectionId, section: &Section) {
        let first = self.bars.len();
        let is_ending = matches!(section.kind, SectionKind::Ending { .. });
        self.next = if is_ending { self.after_part } else { 1 };
        self.inside.push(id);
        self.section(section);
        self.inside.pop();
        if !is_ending {
            self.after_part = self.next;
        }
        self.places[id.index()] = first..self.bars.len();
    }

    fn section(&mut self, section: &Section) {
        for (id, bar) in self.tune.bars_of(section) {
            if self.bars.len() >= MOST || self.steps == 0 {
                return;
            }
            self.steps -= 1;
            let pickup = section.has_pickup() && id.0 == section.bars.start;
            let content = match &bar.content {
                BarContent::Slots if bar.events.is_empty() => Content::Gap(String::new()),
                BarContent::Slots => Content::Slots,
                BarContent::Again => Content::Again,
                BarContent::Phrase { section: Some(phrase), .. } if self.can_call(*phrase) => {
                    self.calls.push(id);
                    self.inside.push(*phrase);
                    self.section(&self.tune.sections[phrase.index()]);
                    self.inside.pop();
                    continue;
                }
                BarContent::Phrase { name, .. } => Content::Gap(format!("@{name}")),
            };
            let number = if pickup { 0 } else { self.next };
            self.next = number + 1;
            self.bars.push(Drawn {
                bar: id,
                content,
                frame: bar.frame,
                number,
                opens: Opening::Plain,
                closes: Closing::Plain,
                heading: None,
                ending: None,
                calls: std::mem::take(&mut self.calls),
            });
        }
    }

    fn can_call(&self, phrase: SectionId) -> bool {
        !self.inside.contains(&phrase) && self.inside.len() <= DEEPEST as usize
    }
}

fn is_called(tune: &Tune, phrase: SectionId) -> bool {
    tune.bars.iter().any(
        |bar| matches!(bar.content, BarContent::Phrase { section: Some(section), .. } if section == phrase),
    )
}

/// Puts headings, endings, repeat signs and double bar lines at the edges of sections.
fn edges(tune: &Tune, bars: &mut [Drawn], places: &[Range<usize>]) {
    for (id, section) in (0..).map(SectionId).zip(&tune.sections) {
        let place = places[id.index()].clone();
        let heading = match section.kind {
            SectionKind::Part { .. } => {
                part_edges(tune, id, bars, places);
                Heading::Part(section.name.clone())
            }
            SectionKind::Phrase => Heading::Phrase(section.name.clone()),
            SectionKind::Ending { .. } => continue,
        };
        if let Some(first) = bars[place].first_mut() {
            first.heading = Some(heading);
        }
    }
    let music = tune.parts().flat_map(|(id, _)| whole(tune, id, places)).max();
    if let Some(last) = music.and_then(|last| bars.get_mut(last))
        && !matches!(last.closes, Closing::Repeat(_))
    {
        last.closes = Closing::End;
    }
}

/// The drawn bars of `part` with its endings.
fn whole(tune: &Tune, part: SectionId, places: &[Range<usize>]) -> Range<usize> {
    let own = places[part.index()].clone();
    let end = tune.endings(part).map(|(id, _)| places[id.index()].end).last();
    own.start..end.unwrap_or(own.end)
}

fn part_edges(tune: &Tune, part: SectionId, bars: &mut [Drawn], places: &[Range<usize>]) {
    let times = times(tune, part);
    let range = whole(tune, part, places);
    let Some(last) = range.clone().last() else { return };
    bars[last].closes = Closing::Double;
    if times > 1 {
        bars[range.start].opens = Opening::Repeat;
    }
    let mut has_endings = false;
    for (id, passes) in tune.endings(part) {
        has_endings = true;
        let place = places[id.index()].clone();
        let label = passes.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
        for at in place.clone() {
            let (begins, ends) = (at == place.start, at + 1 == place.end);
            bars[at].ending = Some(Ending { label: label.clone(), begins, ends });
        }
        // After it the part comes round again, if any time through it that takes it is not the last.
        if times > 1 && passes.iter().any(|pass| *pass < times) && !place.is_empty() {
            bars[place.end - 1].closes = Closing::Repeat(2);
        }
    }
    if times > 1 && !has_endings {
        bars[last].closes = Closing::Repeat(times);
    }
}

/// How often `part` is played in a row, where repeat signs can say so; 1 where the order says it in words.
fn times(tune: &Tune, part: SectionId) -> u32 {
    if tune.header.order.is_empty() {
        let SectionKind::Part { times, .. } = tune.sections[part.index()].kind else { return 1 };
        return times;
    }
    let passes = tune.passes();
    let runs = passes.chunk_by(|one, next| one.part == next.part);
    let mut own = runs.filter(|run| run[0].part == part);
    match (own.next(), own.next()) {
        (Some(run), None) => u32::try_from(run.len()).unwrap_or(u32::MAX),
        _ => 1,
    }
}

/// Where each bar in playing is drawn.
fn played(tune: &Tune, bars: &[Drawn], places: &[Range<usize>]) -> Vec<Option<u32>> {
    let mut drawn = Vec::new();
    let played = play(tune).bars;
    for pass in tune.passes() {
        if drawn.len() >= played.len() {
            break;
        }
        let sections = [Some(pass.part), pass.ending].into_iter().flatten();
        let plays = |at: &usize| !is_silent_gap(tune, bars[*at].bar);
        drawn.extend(sections.flat_map(|id| places[id.index()].clone()).filter(plays).map(|at| at as u32));
    }
    (0..played.len()).map(|at| drawn.get(at).copied()).collect()
}

/// Whether `bar` is drawn as a gap and takes no turn in playing: a call of what cannot be called.
fn is_silent_gap(tune: &Tune, bar: BarId) -> bool {
    matches!(tune.bars[bar.index()].content, BarContent::Phrase { .. })
}
