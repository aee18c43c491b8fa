//! The measures of a score: a tune's bars with the bar lines that have them played in its order.
//!
//! Parts stay as they are written, with repeats and endings, wherever the order of the tune takes each of them
//! once and in the order of the text, and endings come in the order of their passes: that is all that bar lines
//! can say. Otherwise they are written out as they are played. Phrases are written out where they are called.

use lope_tune::{BarContent, BarId, Duration, Pass, SectionId, Tune};

use crate::Remark;

/// A measure of the score.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// The bar whose slots are played.
    pub bar: BarId,
    /// The bars as written whose labels stand above it: its own, and that of the call or `%` it stands for.
    pub above: Vec<BarId>,
    /// The frame in force, in [`Tune::frames`].
    pub frame: u32,
    /// Its number in the part as a player counts; 0 for the pickup.
    pub number: u32,
    /// Whether it says again what the measure before it says.
    pub again: bool,
    /// The part that begins here.
    pub part: Option<String>,
    /// Whether a repeated stretch begins here.
    pub forward: bool,
    /// The passes of the ending that begins here, and of the one that ends.
    pub ending: (Option<String>, Option<String>),
    /// How often the stretch that ends here is played, where it is repeated.
    pub backward: Option<u32>,
    /// Whether a part ends here.
    pub closes: bool,
    /// The time it takes beyond what its slots fill.
    pub rest: Duration,
    /// The measure whose sounds it goes on from, where that is not the one before it.
    pub after: Option<usize>,
}

/// How deep phrases are followed into phrases.
const DEEPEST: usize = 16;
/// The most measures that are written.
const MOST: usize = 100_000;

/// A part played several times in a row.
struct Turn {
    part: SectionId,
    passes: Vec<Pass>,
}

/// The measures of `tune`.
pub fn measures(tune: &Tune, remarks: &mut Vec<Remark>) -> Vec<Measure> {
    let turns = turns(tune);
    let said = |text: String| Remark { place: None, text };
    if turns.windows(2).any(|two| two[0].part >= two[1].part) {
        let text =
            "parts are written out in the order in which they are played, as the form has no such order";
        remarks.push(said(text.to_owned()));
    }
    for (_, part) in tune.parts().filter(|(id, _)| turns.iter().all(|turn| turn.part != *id)) {
        remarks.push(said(format!("part {} is left out: it is never played", part.name)));
    }
    let mut layout = Layout { tune, measures: Vec::new(), before: None, calls: Vec::new() };
    for turn in &turns {
        layout.turn(turn, remarks);
    }
    for name in &layout.calls {
        remarks.push(said(format!("phrase {name} is written out where it is called")));
    }
    layout.measures
}

fn turns(tune: &Tune) -> Vec<Turn> {
    let mut turns: Vec<Turn> = Vec::new();
    for pass in tune.passes() {
        match turns.last_mut() {
            Some(turn) if turn.part == pass.part && turn.passes.last() <= Some(&pass) => {
                turn.passes.push(pass)
            }
            _ => turns.push(Turn { part: pass.part, passes: vec![pass] }),
        }
    }
    turns
}

struct Layout<'t> {
    tune: &'t Tune,
    measures: Vec<Measure>,
    /// The bar played before the next measure.
    before: Option<BarId>,
    /// The phrases called so far.
    calls: Vec<String>,
}

impl Layout<'_> {
    fn turn(&mut self, turn: &Turn, remarks: &mut Vec<Remark>) {
        let tune = self.tune;
        let section = &tune.sections[turn.part.index()];
        let first = self.measures.len();
        self.section(turn.part, 1);
        let body = self.measures.len();
        let times = turn.passes.len() as u32;
        let taken = |ending: SectionId| {
            let passes = (1..).zip(&turn.passes).filter(move |(_, pass)| pass.ending == Some(ending));
            passes.map(|(number, _)| number).collect::<Vec<u32>>()
        };
        let endings: Vec<(SectionId, Vec<u32>)> =
            tune.endings(turn.part).map(|(ending, _)| (ending, taken(ending))).collect();
        for (ending, passes) in &endings {
            if passes.is_empty() {
                let text = format!("an ending of part {} is left out: it is never played", section.name);
                remarks.push(Remark { place: None, text });
            } else if times == 1 {
                self.section(*ending, self.measures.last().map_or(1, |last| last.number + 1));
            } else {
                self.ending(*ending, passes, times, body.checked_sub(1).filter(|last| *last >= first));
            }
        }
        let Some(last) = self.measures.len().checked_sub(1).filter(|last| *last >= first) else { return };
        self.measures[first].part = Some(section.name.clone());
        self.measures[first].forward = times > 1;
        self.measures[last].closes = true;
        if self.measures[last].ending.1.is_none() && times > 1 {
            self.measures[last].backward = Some(times);
        }
        self.rests(first);
    }

    /// Adds the ending numbered `id`, taken on `passes` of `times`, after the measure `body`.
    fn ending(&mut self, id: SectionId, passes: &[u32], times: u32, body: Option<usize>) {
        let first = self.measures.len();
        let number = body.map_or(0, |body| self.measures[body].number);
        self.before = body.map(|body| self.measures[body].bar);
        self.section(id, number + 1);
        let Some(last) = self.measures.len().checked_sub(1).filter(|last| *last >= first) else { return };
        let numbers = passes.iter().map(u32::to_string).collect::<Vec<_>>().join(",");
        self.measures[first].after = body;
        self.measures[first].ending.0 = Some(numbers.clone());
        self.measures[last].ending.1 = Some(numbers);
        let goes_back = passes.iter().filter(|pass| **pass < times).count() as u32;
        self.measures[last].backward = (goes_back > 0).then_some(goes_back + 1);
    }

    fn section(&mut self, id: SectionId, number: u32) {
        let section = &self.tune.sections[id.index()];
        let mut next = if section.has_pickup() { 0 } else { number };
        for (bar, _) in self.tune.bars_of(section) {
            self.bar(bar, &[], &mut next, &mut Vec::new());
        }
    }

    /// Adds the measures of `bar`, called by `calls`.
    fn bar(&mut self, id: BarId, above: &[BarId], next: &mut u32, inside: &mut Vec<SectionId>) {
        if self.measures.len() >= MOST {
            return;
        }
        let bar = &self.tune.bars[id.index()];
        let above: Vec<BarId> = above.iter().copied().chain([id]).collect();
        let (played, again) = match &bar.content {
            BarContent::Slots => (id, false),
            BarContent::Again => (self.before.unwrap_or(id), self.before.is_some()),
            BarContent::Phrase { name, section } => {
                let Some(phrase) = section.filter(|it| !inside.contains(it) && inside.len() < DEEPEST) else {
                    return;
                };
                if !self.calls.contains(name) {
                    self.calls.push(name.clone());
                }
                inside.push(phrase);
                let bars = self.tune.bars_of(&self.tune.sections[phrase.index()]);
                for (at, (bar, _)) in bars.enumerate() {
                    self.bar(bar, if at == 0 { &above } else { &[] }, next, inside);
                }
                inside.pop();
                return;
            }
        };
        self.before = Some(played);
        self.measures.push(Measure {
            bar: played,
            above,
            frame: bar.frame,
            number: *next,
            again,
            part: None,
            forward: false,
            ending: (None, None),
            backward: None,
            closes: false,
            rest: Duration::ZERO,
            after: None,
        });
        *next += 1;
    }

    /// Gives each measure from `first` on the time it takes when it is first played. The next part is not
    /// there yet, so what it takes from the measure before it is taken when it comes.
    fn rests(&mut self, first: usize) {
        let given_back = |layout: &Self, next: usize| match layout.measures.get(next) {
            Some(next) if next.number == 0 => layout.tune.bars[next.bar.index()].length,
            _ => Duration::ZERO,
        };
        for at in first..self.measures.len() {
            let goes_back = self.measures[at].backward.is_some();
            let next = if goes_back { first } else { at + 1 };
            self.rest(at, given_back(self, next));
        }
        let own = given_back(self, first);
        let before = first.checked_sub(1).filter(|before| self.measures[*before].backward.is_none());
        if let Some(before) = before.filter(|_| own.is_positive()) {
            self.rest(before, own);
        }
    }

    fn rest(&mut self, at: usize, given_back: Duration) {
        let measure = &self.measures[at];
        let full = self.tune.frames[measure.frame as usize].meter.bar() - given_back;
        let own = self.tune.bars[measure.bar.index()].length;
        let left = full - own;
        let is_left = left.is_positive() && measure.number > 0;
        self.measures[at].rest = if is_left { left } else { Duration::ZERO };
    }
}

impl Measure {
    /// Whether it is its part's pickup.
    pub const fn is_pickup(&self) -> bool {
        self.number == 0
    }
}
