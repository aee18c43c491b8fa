//! The bars of a performance one after another.

use lope_tune::{Duration, LONGEST, Moment, Played, PlayedBar, Tune};

use crate::{MOST_TIMES, Performance, ScheduledBar};

/// The bars, and when the last is over.
pub struct TimeLine {
    pub bars: Vec<ScheduledBar>,
    pub end: Moment,
}

/// Whether the bars at `place` and after it share one bar of their meter: a pickup and the bar it ends.
pub fn joins_next(bars: &[ScheduledBar], place: usize) -> bool {
    let count_one = |bar: &ScheduledBar| bar.played.start - bar.lead;
    let (Some(this), Some(next)) = (bars.get(place), bars.get(place + 1)) else { return false };
    next.lead > this.lead && count_one(next) == count_one(this)
}

/// Lays the bars that `performance` asks for one after another. No more than [`LONGEST`] are laid, except
/// that the passage is laid at least once.
pub fn lay(tune: &Tune, played: &Played, performance: &Performance) -> TimeLine {
    let range = performance.passage.clone().unwrap_or(0..played.bars.len());
    let passage = played.bars.get(range.clone()).unwrap_or_default();
    let Some(first) = passage.first() else { return TimeLine { bars: Vec::new(), end: Moment::START } };
    let times = (performance.times.clamp(1, MOST_TIMES) as usize).min(LONGEST / passage.len()).max(1);
    let mut now = Moment::START;
    if performance.count_in {
        now += count_in(tune, first);
    }
    let mut bars = Vec::with_capacity(passage.len() * times);
    for round in 0..times {
        for (at, bar) in passage.iter().enumerate() {
            let length = match at + 1 == passage.len() {
                true => last_length(tune, bar, (round + 1 < times).then_some(first)),
                false => bar.length,
            };
            let lead = tune.bars[bar.bar.index()].lead;
            let played = PlayedBar { start: now, length, ..*bar };
            bars.push(ScheduledBar { played, place: range.start + at, lead });
            now += length;
        }
    }
    TimeLine { bars, end: now }
}

/// The time that is counted before `first`: a whole bar, and for a pickup what it leaves of its own.
pub fn count_in(tune: &Tune, first: &PlayedBar) -> Duration {
    tune.frames[first.frame as usize].meter.bar() + tune.bars[first.bar.index()].lead
}

/// The time of a passage's last bar, which in the tune may give time back to a pickup that does not follow
/// here: when the passage starts over, only its own pickup does.
fn last_length(tune: &Tune, last: &PlayedBar, next: Option<&PlayedBar>) -> Duration {
    let written = |bar: &PlayedBar| tune.bars[bar.bar.index()].length;
    if last.number == 0 {
        return last.length;
    }
    let given_back = next.filter(|next| next.number == 0).map_or(Duration::ZERO, written);
    written(last).max(tune.frames[last.frame as usize].meter.bar() - given_back)
}
