use crate::{Bar, Duration, Event, Label, Run};

/// The times of a bar in whole ticks, so fine that all of them and their shares are whole.
pub struct Times {
    ticks: i128,
    /// One slot.
    pub unit: i128,
    /// How many slots the bar has.
    pub slots: usize,
    /// When each event begins.
    pub events: Vec<i128>,
    /// When each label stands.
    pub labels: Vec<i128>,
    /// When something begins or stands, in order and once each.
    pub cuts: Vec<i128>,
    /// The runs, an outer one before those in it.
    pub runs: Vec<RunTimes>,
}

/// When a run begins and ends, and how many slots it has.
#[derive(Clone, Copy)]
pub struct RunTimes {
    pub start: i128,
    pub end: i128,
    pub slots: usize,
}

/// More ticks a whole note than this, and shares of them would no longer fit.
const FINEST_TICK: i128 = 1 << 96;

/// Leaves room for shares that are cut again, so that a brace is no run: into two, three or five.
const SPARE: i128 = 30;

/// The most slots that are written for a bar; from text come fewer.
const MOST_SLOTS: i128 = 1 << 24;

impl Times {
    /// The times of `bar`, whose slots last `unit`. Where no tick would be fine enough for all of them, a
    /// tick is a slot, and what lies between is taken back to the one before.
    pub fn of(bar: &Bar, unit: Duration, events: &[Event], labels: &[Label], runs: &[Run]) -> Self {
        let moments = events.iter().map(|event| event.onset).chain(labels.iter().map(|label| label.onset));
        let moments = moments.chain(runs.iter().map(|run| run.start)).map(|moment| moment.since_start());
        let lengths = runs.iter().map(|run| run.slot).chain([unit, bar.length]);
        let common = moments.chain(lengths).try_fold(1, |common, time| {
            let den = i128::from(time.denominator());
            Some(common / gcd(common, den) * den).filter(|common| *common < FINEST_TICK)
        });
        let ticks = common.map_or(i128::from(unit.denominator()), |common| common * SPARE);
        let of = |time: Duration| i128::from(time.numerator()) * ticks / i128::from(time.denominator());
        let unit = of(unit).max(1);
        let onsets: Vec<i128> = events.iter().map(|event| of(event.onset.since_start())).collect();
        let labels: Vec<i128> = labels.iter().map(|label| of(label.onset.since_start())).collect();
        let mut cuts: Vec<i128> = onsets.iter().chain(&labels).copied().collect();
        cuts.sort_unstable();
        cuts.dedup();
        let slots = ((of(bar.length) + unit - 1) / unit).clamp(0, MOST_SLOTS);
        let runs = runs.iter().map(|run| {
            let start = of(run.start.since_start());
            RunTimes { start, end: start + of(run.slot.times(run.slots)), slots: run.slots as usize }
        });
        Self {
            ticks,
            unit,
            slots: slots as usize,
            events: onsets,
            labels,
            cuts,
            runs: nested(runs, slots * unit),
        }
    }

    /// How long `ticks` last.
    pub fn duration(&self, ticks: i128) -> Duration {
        let common = gcd(ticks.max(1), self.ticks);
        match (i64::try_from(ticks / common), i64::try_from(self.ticks / common)) {
            (Ok(num), Ok(den)) => Duration::new(num, den),
            _ => Duration::ZERO,
        }
    }

    /// The cuts after `from` and before `to`.
    pub fn cuts_between(&self, from: i128, to: i128) -> &[i128] {
        let first = self.cuts.partition_point(|cut| *cut <= from);
        let len = self.cuts[first..].partition_point(|cut| *cut < to);
        &self.cuts[first..first + len]
    }
}

/// Those of `runs` that end by `end`, and by the end of each run they begin in. A brace with a fault in it
/// takes less time than its slots have, and its run reaches into what follows: no braces can say that.
fn nested(runs: impl Iterator<Item = RunTimes>, end: i128) -> Vec<RunTimes> {
    let mut nested = Vec::new();
    let mut ends = vec![end];
    for run in runs {
        while ends.len() > 1 && ends.last().is_some_and(|end| *end <= run.start) {
            ends.pop();
        }
        if run.start < run.end && ends.last().is_some_and(|end| run.end <= *end) {
            ends.push(run.end);
            nested.push(run);
        }
    }
    nested
}

/// The greatest common divisor of two numbers that are not negative.
pub fn gcd(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}
