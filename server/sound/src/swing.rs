//! The feel: where in a pair of slots a moment falls.

use lope_tune::{Duration, Event, Feel, Frame, Run};

use crate::ScheduledBar;

/// How a bar leans. Moments are counted from count 1 of its meter, also in a pickup.
pub struct Lean {
    unit: Duration,
    long: u32,
    short: u32,
    /// Where the bar begins, unless the bar before it shares its count 1.
    from: Option<Duration>,
    /// Where it ends, unless the bar after it goes on counting.
    until: Option<Duration>,
}

impl Lean {
    /// How `bar` leans in `frame`; none where it is straight. The groups of compound time are threes, no pairs,
    /// and stay straight. It `joins` the bar before it and the bar after it where a pickup does.
    pub fn of(frame: &Frame, bar: &ScheduledBar, joins: (bool, bool)) -> Option<Self> {
        let Feel::Swing { long, short } = frame.feel else { return None };
        let until = bar.lead + bar.played.length;
        (!frame.meter.is_compound()).then_some(Self {
            unit: frame.unit,
            long,
            short,
            from: (!joins.0).then_some(bar.lead),
            until: (!joins.1).then_some(until),
        })
    }

    /// When `at` is played. Slots of a pair share its time, and what is in a slot stretches with it. A pair
    /// that the bar cuts off is straight where leaning would leave the bar.
    pub fn moment(&self, at: Duration) -> Duration {
        let pair = self.unit.times(2);
        let (count, within) = at.divide(pair);
        let start = at - within;
        let cut_off = self.until.is_some_and(|until| start + pair > until);
        let early = self.short > self.long && self.from.is_some_and(|from| start < from);
        if count < 0 || cut_off || early {
            return at;
        }
        let stretch = |length: Duration, slot: u32| length.times(2 * slot).share(self.long + self.short);
        start
            + match within <= self.unit {
                true => stretch(within, self.long),
                false => stretch(self.unit, self.long) + stretch(within - self.unit, self.short),
            }
    }

    /// When `event` is played, of a bar with `lead` before it. The notes of a run stay even among themselves,
    /// since a triplet leans already.
    pub fn onset(&self, event: &Event, run: Option<&Run>, lead: Duration) -> Duration {
        let at = lead + event.onset.since_start();
        let Some(run) = run else { return self.moment(at) };
        let whole = run.slot.times(run.slots);
        let start = lead + run.start.since_start();
        let (first, last) = (self.moment(start), self.moment(start + whole));
        share_of(last - first, at - start, whole).map_or_else(|| self.moment(at), |share| first + share)
    }
}

/// As much of `length` as `part` is of `whole`; none where the fraction is too fine to be kept.
fn share_of(length: Duration, part: Duration, whole: Duration) -> Option<Duration> {
    let num = i128::from(part.numerator()) * i128::from(whole.denominator());
    let den = i128::from(part.denominator()) * i128::from(whole.numerator());
    let fraction = Duration::new(i64::try_from(num).ok()?, i64::try_from(den).ok()?);
    let (num, den) = (u32::try_from(fraction.numerator()).ok()?, u32::try_from(fraction.denominator()).ok()?);
    Some(length.times(num).share(den))
}
