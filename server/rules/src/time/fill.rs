//! How full bars are, with what a pickup gives back counted in.

use lope_tune::{Bar, BarContent, BarId, Duration, IssueKind, SectionKind};

use super::joint::{Joint, is_called_inside, joints, last_bar_of};
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

/// Every bar that has too little time or too much, in the order of the text.
///
/// A bar is full when it fills its meter's bar, or leaves room for a pickup that follows it in playing.
/// Bars with something unreadable in them are left out, and so are those whose meter is a guess: what is
/// wrong with them has been said.
pub fn odd_bars(music: &Music) -> Vec<Odd> {
    let mut odd = Vec::new();
    let mut known = None;
    for (bar, filled, _) in uneven_bars(music) {
        let joints = known.get_or_insert_with(|| joints(music.tune));
        odd.extend(judge(music, bar, filled, joints));
    }
    odd.retain(|bar| can_be_judged(music, bar.bar));
    pair(music, &mut odd);
    odd
}

/// Every bar but pickups whose slots do not fill its meter's bar exactly, with the time they fill and
/// that of the meter's bar: where nothing is odd, only the bars before pickups.
pub fn uneven_bars<'m>(music: &'m Music) -> impl Iterator<Item = (BarId, Duration, Duration)> + 'm {
    let tune = music.tune;
    let (mut frame, mut full) = (u32::MAX, Duration::ZERO);
    (0..).map(BarId).zip(&tune.bars).filter_map(move |(id, bar)| {
        if bar.frame != frame {
            (frame, full) = (bar.frame, tune.frame(bar).meter.bar());
        }
        if bar.length == full || bar.lead.is_positive() || !is_judged(music, id, bar) {
            return None;
        }
        let filled = filled(music, id).filter(|filled| *filled != full)?;
        Some((id, filled, full))
    })
}

/// Whether `bar` is one whose time has to be looked at: a `%` is as full as the bar it repeats, and needs
/// a look of its own only under another meter.
fn is_judged(music: &Music, id: BarId, bar: &Bar) -> bool {
    match bar.content {
        BarContent::Slots => true,
        BarContent::Phrase { .. } => false,
        BarContent::Again => {
            repeated(music, id).is_some_and(|before| music.tune.bars[before.index()].frame != bar.frame)
        }
    }
}

/// The time that the slots of `bar` fill, or of the bar it repeats; none where that is not known.
pub fn filled(music: &Music, bar: BarId) -> Option<Duration> {
    let written = &music.tune.bars[bar.index()];
    match written.content {
        BarContent::Slots => Some(written.length),
        BarContent::Again => repeated(music, bar).map(|bar| music.tune.bars[bar.index()].length),
        BarContent::Phrase { .. } => None,
    }
}

/// The bar of slots that the `%` in `bar` repeats. At the start of a part or phrase what it repeats
/// depends on what came before, and none is named.
fn repeated(music: &Music, bar: BarId) -> Option<BarId> {
    let tune = music.tune;
    let section = &tune.sections[music.source.bars[bar.index()].section.index()];
    let mut before = match section.kind {
        _ if bar.0 > section.bars.start => BarId(bar.0 - 1),
        SectionKind::Ending { of, .. } => last_bar_of(tune, of, 0)?,
        _ => return None,
    };
    if let BarContent::Phrase { section: Some(phrase), .. } = tune.bars[before.index()].content {
        before = last_bar_of(tune, phrase, 0)?;
    }
    match tune.bars[before.index()].content {
        BarContent::Slots => Some(before),
        BarContent::Again if before < bar => repeated(music, before),
        _ => None,
    }
}

/// What is wrong with the time `filled` of `bar`, if anything is.
fn judge(music: &Music, bar: BarId, filled: Duration, joints: &[Joint]) -> Option<Odd> {
    let tune = music.tune;
    let full = tune.frame(&tune.bars[bar.index()]).meter.bar();
    let pickups = || joints.iter().filter(|joint| joint.last == bar).map(|joint| joint.pickup);
    let odd = |pickup: Duration| {
        let padded = is_padded(music, bar, pickup, joints);
        Odd { bar, filled, full: full - pickup, pickup, padded, beside: None }
    };
    if pickups().any(|pickup| filled + pickup == full) {
        // A phrase that ends a part may also stand inside one, where no pickup follows.
        let section = music.source.bars[bar.index()].section;
        let is_phrase = tune.sections[section.index()].kind == SectionKind::Phrase;
        return (is_phrase && is_called_inside(tune, section, 0)).then(|| odd(Duration::ZERO));
    }
    let fits = |pickup: &Duration| filled + *pickup < full;
    Some(odd(pickups().filter(fits).max().unwrap_or_default()))
}

/// Whether `bar`, filled up to a `pickup`, takes no more time in playing than it does now.
fn is_padded(music: &Music, bar: BarId, pickup: Duration, joints: &[Joint]) -> bool {
    let (tune, frame) = (music.tune, music.tune.bars[bar.index()].frame);
    // A `%` may repeat it where another meter or a pickup leaves less room.
    let repeats = |other: BarId| {
        tune.bars[other.index()].content == BarContent::Again
            && repeated(music, other).is_none_or(|repeated| repeated == bar)
    };
    joints.iter().all(|joint| joint.pickup <= pickup || joint.last != bar && !repeats(joint.last))
        && (0..).map(BarId).zip(&tune.bars).all(|(id, other)| other.frame == frame || !repeats(id))
}

/// Whether what is written in `bar` and its meter are understood, so that its time can be judged.
pub fn can_be_judged(music: &Music, bar: BarId) -> bool {
    let (bars, at) = (&music.source.bars, bar.index());
    let place = &bars[at];
    let start = match at.checked_sub(1).map(|before| &bars[before]) {
        Some(before) if before.section == place.section => before.close.end.max(before.span.end),
        _ => music.source.sections[place.section.index()].heading.end,
    };
    let end = match bars.get(at + 1) {
        _ if !place.close.is_empty() => place.close.end,
        Some(next) => next.span.start,
        None => music.text.len() as u32,
    };
    let is_here = |at: u32| (start..end).contains(&at);
    let spoils = |kind: &IssueKind, at: u32| match kind {
        IssueKind::TooFine => is_here(at),
        IssueKind::BadValue { field, .. } => match field.as_str() {
            "brace" => is_here(at),
            "meter" | "unit" => true,
            _ => false,
        },
        _ => false,
    };
    let frame = music.tune.bars[at].frame as usize;
    music.source.frames[frame].meter.is_some()
        && !music.tree.faults().iter().any(|fault| is_here(fault.span.start))
        && !music.issues.iter().any(|issue| spoils(&issue.kind, issue.span.start))
}

/// Finds neighbours of which one has what the other lacks.
fn pair(music: &Music, odd: &mut [Odd]) {
    let (tune, places) = (music.tune, &music.source.bars);
    for at in 1..odd.len() {
        let (one, other) = (odd[at - 1], odd[at]);
        let (left, right) = (&tune.bars[one.bar.index()], &tune.bars[other.bar.index()]);
        let are_neighbours = one.bar.0 + 1 == other.bar.0
            && places[one.bar.index()].section == places[other.bar.index()].section
            && left.frame == right.frame
            && [left, right].iter().all(|bar| bar.content == BarContent::Slots);
        if are_neighbours && one.beside.is_none() && one.missing() + other.missing() == Duration::ZERO {
            odd[at - 1].beside = Some(other.bar);
            odd[at].beside = Some(one.bar);
        }
    }
}
