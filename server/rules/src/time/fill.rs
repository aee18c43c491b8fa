//! How full bars are, with what a pickup gives back counted in.

use std::cell::OnceCell;

use lope_tune::{Bar, BarContent, BarId, Duration, IssueKind, SectionKind};

use super::joint::{Joint, ends_in_music, is_called_inside, joints, last_bar_of};
use crate::Music;

/// A bar that has too little time or too much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Odd {
    /// The bar.
    pub bar: BarId,
    /// The time its slots fill; for a `%`, those of the bar it repeats.
    pub filled: Duration,
    /// The time they should fill.
    pub full: Duration,
    /// What that leaves of the meter's bar to the pickup after it.
    pub pickup: Duration,
    /// Whether it takes its full time in playing all the same, wherever it is played.
    pub padded: bool,
    /// The bar next to it that has as much too much as this one lacks, or lacks as much as this one has
    /// too much: the bar line between the two stands in the wrong place.
    pub beside: Option<BarId>,
}

impl Odd {
    /// How much time is missing.
    pub fn missing(&self) -> Duration {
        self.full - self.filled
    }
}

/// The bars of a tune, weighed.
///
/// A bar is full when it fills its meter's bar, or leaves room for a pickup that follows it in playing.
/// One with something unreadable in it is not judged, and neither is one whose meter is a guess: what is
/// wrong with it has been said.
pub struct Bars<'m> {
    music: Music<'m>,
    /// Where parts meet, by the bar played last. Most tunes are done with before it is asked for.
    joints: OnceCell<Vec<Joint>>,
    /// Every `%`; asked for as seldom.
    repeats: OnceCell<Vec<BarId>>,
}

impl<'m> Bars<'m> {
    /// The bars of `music`.
    pub const fn of(music: &Music<'m>) -> Self {
        Self { music: *music, joints: OnceCell::new(), repeats: OnceCell::new() }
    }

    /// Every bar but pickups whose slots do not fill its meter's bar exactly, with the time they fill and
    /// that of the meter's bar: where nothing is odd, only bars before pickups.
    pub fn uneven(&self) -> impl Iterator<Item = (BarId, Duration, Duration)> {
        let tune = self.music.tune;
        let (mut frame, mut full) = (u32::MAX, Duration::ZERO);
        (0..).map(BarId).zip(&tune.bars).filter_map(move |(id, bar)| {
            if bar.frame != frame {
                (frame, full) = (bar.frame, tune.frame(bar).meter.bar());
            }
            if bar.length == full || bar.lead.is_positive() || !self.counts(id, bar) {
                return None;
            }
            let filled = self.filled(id).filter(|filled| *filled != full)?;
            Some((id, filled, full))
        })
    }

    /// Every bar that has too little time or too much, in the order of the text.
    pub fn odd(&self) -> impl Iterator<Item = Odd> {
        self.uneven().filter_map(|(bar, ..)| self.judge(bar))
    }

    /// What is wrong with the time of `bar`, if anything is.
    pub fn judge(&self, bar: BarId) -> Option<Odd> {
        let odd = self.judge_alone(bar)?;
        let long = |odd: &Odd| odd.filled > odd.full;
        // A long bar gives to the next where that lacks as much, else to the one before: neighbours of
        // neighbours decide which two belong together.
        let beside = if long(&odd) {
            self.after(&odd).or_else(|| self.before(&odd).filter(|before| self.before(before).is_none()))
        } else {
            self.before(&odd).or_else(|| self.after(&odd).filter(|after| self.after(after).is_none()))
        };
        Some(Odd { beside: beside.map(|beside| beside.bar), ..odd })
    }

    /// The time that the slots of `bar` fill, or of the bar it repeats; none where that is not known.
    pub fn filled(&self, bar: BarId) -> Option<Duration> {
        let written = &self.music.tune.bars[bar.index()];
        match written.content {
            BarContent::Slots => Some(written.length),
            BarContent::Again => self.repeated(bar).map(|bar| self.music.tune.bars[bar.index()].length),
            BarContent::Phrase { .. } => None,
        }
    }

    /// Where parts meet, by the bar played last and then in playing order.
    pub fn joints(&self) -> &[Joint] {
        self.joints.get_or_init(|| {
            let mut joints = joints(self.music.tune);
            joints.sort_by_key(|joint| joint.last);
            joints
        })
    }

    /// Whether what is written in `bar` and its meter are understood, so that its time can be judged.
    pub fn is_understood(&self, bar: BarId) -> bool {
        let Music { tree, source, issues, .. } = self.music;
        let (bars, at) = (&source.bars, bar.index());
        let place = &bars[at];
        let start = match at.checked_sub(1).map(|before| &bars[before]) {
            Some(before) if before.section == place.section => before.close.end.max(before.span.end),
            _ => source.sections[place.section.index()].heading.end,
        };
        let end = match bars.get(at + 1) {
            _ if !place.close.is_empty() => place.close.end,
            Some(next) => next.span.start,
            None => self.music.text.len() as u32,
        };
        let Some(meter) = source.frames[self.music.tune.bars[at].frame as usize].meter else { return false };
        let fault = tree.faults().partition_point(|fault| fault.span.start < start);
        let issue = issues.partition_point(|issue| issue.span.start < start);
        let here = issues[issue..].iter().take_while(|issue| issue.span.start < end);
        let spoils = |kind: &IssueKind| match kind {
            IssueKind::TooFine => true,
            IssueKind::BadValue { field, .. } => field == "brace",
            _ => false,
        };
        tree.faults().get(fault).is_none_or(|fault| fault.span.start >= end)
            && !here.map(|issue| &issue.kind).any(spoils)
            && !self.is_bad_value(meter.start)
            && !self.unit().is_some_and(|unit| self.is_bad_value(unit))
    }

    /// Whether the field whose text starts at `start` says something it cannot say.
    fn is_bad_value(&self, start: u32) -> bool {
        let issues = self.music.issues;
        let first = issues.partition_point(|issue| issue.span.start < start);
        let mut there = issues[first..].iter().take_while(|issue| issue.span.start == start);
        there.any(|issue| matches!(issue.kind, IssueKind::BadValue { .. }))
    }

    /// Where the text of the tune's `unit` field starts.
    fn unit(&self) -> Option<u32> {
        let (_, field) = self.music.source.fields.iter().find(|(name, _)| *name == "unit")?;
        Some(self.music.tree.tokens_of(*field).last()?.span.start)
    }

    /// Whether `bar` is one whose time has to be looked at: a `%` is as full as the bar it repeats, and
    /// needs a look of its own only under another meter.
    fn counts(&self, id: BarId, bar: &Bar) -> bool {
        match bar.content {
            BarContent::Slots => true,
            BarContent::Phrase { .. } => false,
            BarContent::Again => {
                // Straight after a bar of the same frame it is no news, whatever that bar holds.
                let places = &self.music.source.bars;
                let before = id.0.checked_sub(1).map(BarId).filter(|before| {
                    let written = &self.music.tune.bars[before.index()];
                    places[before.index()].section == places[id.index()].section
                        && written.frame == bar.frame
                        && matches!(written.content, BarContent::Slots | BarContent::Again)
                });
                before.is_none() && self.repeated(id).is_some_and(|before| self.frame(before) != bar.frame)
            }
        }
    }

    fn frame(&self, bar: BarId) -> u32 {
        self.music.tune.bars[bar.index()].frame
    }

    /// The bar of slots that the `%` in `bar` repeats. At the start of a part or phrase what it repeats
    /// depends on what came before, and none is named.
    fn repeated(&self, bar: BarId) -> Option<BarId> {
        let Music { tune, source, .. } = self.music;
        let mut bar = bar;
        // No row of repeats is longer than the tune; one that comes round to itself is given up.
        for _ in &tune.bars {
            let section = &tune.sections[source.bars[bar.index()].section.index()];
            bar = match section.kind {
                _ if bar.0 > section.bars.start => BarId(bar.0 - 1),
                SectionKind::Ending { of, .. } => last_bar_of(tune, of, 0)?,
                _ => return None,
            };
            if let BarContent::Phrase { section, .. } = tune.bars[bar.index()].content {
                bar = last_bar_of(tune, section?, 0)?;
            }
            if tune.bars[bar.index()].content == BarContent::Slots {
                return Some(bar);
            }
        }
        None
    }

    /// What is wrong with `bar`, its neighbours aside.
    fn judge_alone(&self, bar: BarId) -> Option<Odd> {
        let tune = self.music.tune;
        let written = &tune.bars[bar.index()];
        let full = tune.frame(written).meter.bar();
        let filled = self.filled(bar).filter(|filled| *filled != full && !written.lead.is_positive())?;
        if !self.counts(bar, written) || !self.is_understood(bar) {
            return None;
        }
        let odd = |pickup: Duration| {
            let padded = self.is_padded(bar, pickup);
            Odd { bar, filled, full: full - pickup, pickup, padded, beside: None }
        };
        let pickups = || self.joints_after(bar).iter().map(|joint| joint.pickup);
        if pickups().any(|pickup| filled + pickup == full) {
            // A phrase that ends a part may also stand inside one, where no pickup follows.
            let section = self.music.source.bars[bar.index()].section;
            let is_phrase = tune.sections[section.index()].kind == SectionKind::Phrase;
            return (is_phrase && is_called_inside(tune, section, 0)).then(|| odd(Duration::ZERO));
        }
        let fits = |pickup: &Duration| filled + *pickup < full;
        Some(odd(pickups().filter(fits).max().unwrap_or_default()))
    }

    /// The joints at which `bar` is played last.
    fn joints_after(&self, bar: BarId) -> &[Joint] {
        let section = self.music.source.bars[bar.index()].section;
        if bar.0 + 1 < self.music.tune.sections[section.index()].bars.end {
            return &[];
        }
        let joints = self.joints();
        let first = joints.partition_point(|joint| joint.last < bar);
        let end = joints.partition_point(|joint| joint.last <= bar);
        &joints[first..end]
    }

    /// Whether `bar`, filled up to a `pickup`, takes no more time in playing than it does now.
    fn is_padded(&self, bar: BarId, pickup: Duration) -> bool {
        let tune = self.music.tune;
        let has_room = |last: BarId| self.joints_after(last).iter().all(|joint| joint.pickup <= pickup);
        // A `%`, in a phrase called after it too, may repeat it where another meter or a pickup leaves
        // less room.
        let keeps_room = |repeat: &BarId| self.frame(*repeat) == self.frame(bar) && has_room(*repeat);
        let section = &tune.sections[self.music.source.bars[bar.index()].section.index()];
        let is_empty = self.filled(bar) == Some(Duration::ZERO);
        if is_empty && bar.0 == section.bars.start && pickup.is_positive() {
            // It may stand before the first bar line, and would be a pickup itself.
            return false;
        }
        let next = tune.bars[..section.bars.end as usize].get(bar.index() + 1);
        match next {
            Some(next) if next.content == BarContent::Slots => true,
            // After a phrase that plays nothing comes what comes after the call, which may be a pickup.
            Some(Bar { content: BarContent::Phrase { section, .. }, .. })
                if !section.is_some_and(|phrase| ends_in_music(tune, phrase)) =>
            {
                false
            }
            _ => has_room(bar) && self.repeats().iter().all(keeps_room),
        }
    }

    /// Every `%`.
    fn repeats(&self) -> &[BarId] {
        self.repeats.get_or_init(|| {
            let bars = (0..).map(BarId).zip(&self.music.tune.bars);
            bars.filter(|(_, bar)| bar.content == BarContent::Again).map(|(id, _)| id).collect()
        })
    }

    /// The bar after `odd` in its section, when it has just what `odd` lacks or lacks what `odd` has.
    fn after(&self, odd: &Odd) -> Option<Odd> {
        self.neighbour(odd, BarId(odd.bar.0 + 1))
    }

    /// The bar before `odd` in its section, when it has just what `odd` lacks or lacks what `odd` has.
    fn before(&self, odd: &Odd) -> Option<Odd> {
        self.neighbour(odd, BarId(odd.bar.0.checked_sub(1)?))
    }

    fn neighbour(&self, odd: &Odd, other: BarId) -> Option<Odd> {
        let (tune, places) = (self.music.tune, &self.music.source.bars);
        let (bar, beside) = (&tune.bars[odd.bar.index()], tune.bars.get(other.index())?);
        let are_alike = bar.frame == beside.frame
            && [bar, beside].iter().all(|bar| bar.content == BarContent::Slots)
            && places[odd.bar.index()].section == places[other.index()].section;
        let beside = self.judge_alone(other).filter(|_| are_alike)?;
        (beside.missing() + odd.missing() == Duration::ZERO).then_some(beside)
    }
}
