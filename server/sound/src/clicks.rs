//! The count-in and the click.

use lope_tune::{Duration, Meter, Moment, Tune};

use crate::time_line::{TimeLine, count_in};
use crate::{Click, Performance};

/// The clicks that `performance` asks for, by onset: one a beat, which in compound time is three eighths.
pub fn count(tune: &Tune, time_line: &TimeLine, performance: &Performance) -> Vec<Click> {
    let mut clicks = Vec::new();
    let meter = |frame: u32| tune.frames[frame as usize].meter;
    if let Some(first) = time_line.bars.first().filter(|_| performance.count_in) {
        let meter = meter(first.played.frame);
        let (whole, rest) = (meter.bar(), count_in(tune, &first.played) - meter.bar());
        beats(&mut clicks, meter, Moment::START, Duration::ZERO, whole);
        beats(&mut clicks, meter, Moment::START + whole, Duration::ZERO, rest);
    }
    if performance.click {
        for bar in &time_line.bars {
            let until = bar.lead + bar.played.length;
            beats(&mut clicks, meter(bar.played.frame), bar.played.start - bar.lead, bar.lead, until);
        }
    }
    clicks
}

/// Adds the beats of a bar whose count 1 is at `start`, as far as they lie between `from` and `until`.
fn beats(clicks: &mut Vec<Click>, meter: Meter, start: Moment, from: Duration, until: Duration) {
    let beat = meter.beat();
    let (gone_by, rest) = from.divide(beat);
    let mut at = if rest.is_positive() { from - rest + beat } else { from };
    let mut first = gone_by == 0 && !rest.is_positive();
    while at < until {
        clicks.push(Click { onset: start + at, first });
        (at, first) = (at + beat, false);
    }
}
