//! Moments to seconds.

use lope_tune::{Duration, Frame, Moment, Tune};

use crate::{SPEEDS, ScheduledBar};

/// A tempo from where it begins to hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tempo {
    /// When it begins.
    pub from: Moment,
    /// What is counted.
    pub beat: Duration,
    /// How many are counted in a hundred minutes: the written tempo times the speed in percent.
    pub rate: u32,
}

impl Tempo {
    fn of(frame: &Frame, from: Moment, speed: u32) -> Self {
        let speed = speed.clamp(*SPEEDS.start(), *SPEEDS.end());
        Self { from, beat: frame.meter.beat(), rate: frame.tempo.max(1) * speed }
    }

    /// How long a whole note lasts, in seconds.
    fn whole_note(&self) -> f64 {
        6000.0 / f64::from(self.rate) / wholes(self.beat)
    }

    /// How long a quarter note lasts, in microseconds, rounded to the nearest.
    pub fn quarter_micros(&self) -> u64 {
        let num = 6_000_000_000 * self.beat.denominator().unsigned_abs();
        let den = 4 * self.beat.numerator().unsigned_abs() * u64::from(self.rate);
        (num + den / 2) / den.max(1)
    }
}

/// Moments to seconds under changing tempos.
#[derive(Clone, Debug, PartialEq)]
pub struct Clock {
    tempos: Vec<Tempo>,
    /// The seconds at which each tempo begins to hold.
    seconds: Vec<f64>,
}

impl Clock {
    /// The clock of `bars`, which go at `speed` percent of the tempos of their frames. A count-in goes at the
    /// first of them.
    pub fn new(tune: &Tune, bars: &[ScheduledBar], speed: u32) -> Self {
        let mut clock = Self { tempos: Vec::new(), seconds: Vec::new() };
        for bar in bars {
            let from = if clock.tempos.is_empty() { Moment::START } else { bar.played.start };
            let tempo = Tempo::of(&tune.frames[bar.played.frame as usize], from, speed);
            let same = |last: &Tempo| (last.beat, last.rate) == (tempo.beat, tempo.rate);
            if !clock.tempos.last().is_some_and(same) {
                clock.seconds.push(clock.seconds(from));
                clock.tempos.push(tempo);
            }
        }
        clock
    }

    /// The seconds from the start to `moment`.
    pub fn seconds(&self, moment: Moment) -> f64 {
        let at = self.tempos.partition_point(|tempo| tempo.from <= moment).saturating_sub(1);
        let (Some(tempo), Some(since)) = (self.tempos.get(at), self.seconds.get(at)) else { return 0.0 };
        since + wholes(moment - tempo.from) * tempo.whole_note()
    }

    /// The tempos in their order.
    pub fn tempos(&self) -> &[Tempo] {
        &self.tempos
    }
}

/// `length` in whole notes.
fn wholes(length: Duration) -> f64 {
    length.numerator() as f64 / length.denominator() as f64
}
