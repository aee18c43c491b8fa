use std::fmt;

use crate::{Duration, Meter, Moment};

/// What the right hand does at a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stroke {
    /// It falls: it strikes, or falls on air.
    Fall,
    /// It rises: thumb, left hand, or nothing.
    Rise,
    /// It is on its way: the moment is none of the gait's.
    Between,
}

/// The right hand's repeating pattern of falls and rises: at most 64 of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Gait {
    /// One bit a stroke, the first the lowest: set for a fall.
    falls: u64,
    /// How many strokes there are; at least one.
    strokes: u8,
    /// The time from one stroke to the next.
    step: Duration,
}

impl Gait {
    /// The three-note gait, `x.x`: common practice for jigs and for triplets.
    pub const fn three(step: Duration) -> Self {
        Self { falls: 0b101, strokes: 3, step }
    }

    /// Reads `x.x`, `x` for a fall and `.` for a rise, with blanks between groups allowed.
    pub fn parse(text: &str, step: Duration) -> Option<Self> {
        let (mut falls, mut strokes) = (0, 0);
        for stroke in text.chars().filter(|stroke| !stroke.is_whitespace()) {
            match stroke {
                'x' if strokes < 64 => falls |= 1 << strokes,
                '.' if strokes < 64 => {}
                _ => return None,
            }
            strokes += 1;
        }
        (falls != 0).then_some(Self { falls, strokes, step })
    }

    /// The gait of `meter` where no field says otherwise: threes in compound time, else twos, with a last
    /// three where the strokes of a bar are odd. Common practice. `unit` is the length of a slot.
    pub fn of(meter: Meter, unit: Duration) -> Self {
        if meter.is_compound() {
            return Self::three(Duration::new(1, i64::from(meter.unit)));
        }
        let step = if unit < meter.slot() { unit } else { meter.slot() };
        let (strokes, rest) = meter.bar().divide(step);
        match strokes {
            1 => Self { falls: 0b1, strokes: 1, step },
            3..=63 if strokes % 2 == 1 && rest == Duration::ZERO => {
                let pairs = 0x5555_5555_5555_5555 & ((1 << (strokes - 1)) - 1);
                Self { falls: pairs | 1 << (strokes - 1), strokes: strokes as u8, step }
            }
            _ => Self { falls: 0b01, strokes: 2, step },
        }
    }

    /// The time from one stroke to the next.
    pub const fn step(self) -> Duration {
        self.step
    }

    /// How many strokes it has before it starts over.
    pub const fn strokes(self) -> u32 {
        self.strokes as u32
    }

    /// The time it takes before it starts over.
    pub fn period(self) -> Duration {
        self.step.times(self.strokes())
    }

    /// What the hand does at stroke number `stroke`, counted from 0 and on through repetitions.
    pub const fn stroke(self, stroke: u64) -> Stroke {
        if self.falls >> (stroke % self.strokes as u64) & 1 == 1 { Stroke::Fall } else { Stroke::Rise }
    }

    /// The strokes that begin a group of slots, one bit each as for the falls: each fall that a rise follows,
    /// and the first stroke whatever it is.
    pub(crate) const fn group_starts(self) -> u64 {
        let next = self.falls >> 1 | (self.falls & 1) << (self.strokes - 1);
        self.falls & !next | 1
    }

    /// What the hand does at `at`, counted from the start of the bar; and the number of the stroke at or
    /// before it.
    pub fn at(self, at: Moment) -> (Stroke, u64) {
        let (stroke, rest) = at.since_start().divide(self.step);
        let stroke = stroke.unsigned_abs();
        (if rest == Duration::ZERO { self.stroke(stroke) } else { Stroke::Between }, stroke)
    }
}

impl fmt::Display for Gait {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        (0..u64::from(self.strokes))
            .try_for_each(|stroke| f.write_str(if self.stroke(stroke) == Stroke::Fall { "x" } else { "." }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn default(beats: u32, unit: u32) -> String {
        let meter = Meter { beats, unit };
        Gait::of(meter, meter.slot()).to_string()
    }

    #[test]
    fn every_meter_of_the_trade_has_its_gait() {
        assert_eq!([default(6, 8), default(9, 8), default(12, 8)], ["x.x"; 3]);
        assert_eq!([default(4, 4), default(2, 2), default(2, 4), default(3, 4)], ["x."; 4]);
        assert_eq!(default(7, 8), "x.x.x.x");
        assert_eq!(default(5, 8), "x.x.x");
        assert_eq!(default(1, 8), "x");
    }

    #[test]
    fn finer_slots_make_a_finer_straight_gait_but_leave_threes_alone() {
        let sixteenth = Duration::new(1, 16);
        assert_eq!(Gait::of(Meter { beats: 4, unit: 4 }, sixteenth).step(), sixteenth);
        assert_eq!(Gait::of(Meter { beats: 6, unit: 8 }, sixteenth).step(), Duration::new(1, 8));
        assert_eq!(Gait::of(Meter { beats: 4, unit: 4 }, Duration::new(1, 4)).step(), Duration::new(1, 8));
    }

    #[test]
    fn strokes_follow_the_count() {
        let jig = Gait::three(Duration::new(1, 8));
        let at = |num, den| jig.at(Moment::START + Duration::new(num, den));
        assert_eq!(at(0, 8), (Stroke::Fall, 0));
        assert_eq!(at(1, 8), (Stroke::Rise, 1));
        assert_eq!(at(5, 8), (Stroke::Fall, 5));
        assert_eq!(at(3, 16), (Stroke::Between, 1));
    }

    #[test]
    fn a_gait_is_falls_and_rises_and_has_a_fall() {
        let eighth = Duration::new(1, 8);
        assert_eq!(Gait::parse("x.x x.", eighth).map(|gait| gait.to_string()).as_deref(), Some("x.xx."));
        assert_eq!(Gait::parse("...", eighth), None);
        assert_eq!(Gait::parse("x-x", eighth), None);
        assert_eq!(Gait::parse(&"x".repeat(65), eighth), None);
    }
}
