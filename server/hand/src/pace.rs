use std::ops::Range;

use lope_tune::{Duration, Frame, Gait, Moment, Stroke};

/// A frame's gait, made ready to be asked about many moments.
#[derive(Clone, Copy, Debug)]
pub struct Pace {
    /// The gait.
    gait: Gait,
    /// The falls among its first 64 strokes, one bit each, the first the lowest. Few bars have more.
    falls: u64,
    /// How many strokes begin in a whole bar.
    pub bar: u64,
}

impl Pace {
    pub fn new(frame: &Frame) -> Self {
        let gait = frame.gait;
        let mut falls = (0..u64::from(gait.strokes()).min(64))
            .fold(0, |falls, stroke| falls | u64::from(gait.stroke(stroke) == Stroke::Fall) << stroke);
        let mut known = gait.strokes();
        while known < 64 {
            falls |= falls << known;
            known *= 2;
        }
        let mut pace = Self { gait, falls, bar: 0 };
        pace.bar = pace.begun_before(frame.meter.bar());
        pace
    }

    /// What the gait has at `at`, from the bar's count 1, and the number of the stroke at or before it.
    pub fn at(&self, at: Duration) -> (Stroke, u64) {
        let (number, rest) = at.divide(self.gait.step());
        let number = number.unsigned_abs();
        (if rest == Duration::ZERO { self.stroke(number) } else { Stroke::Between }, number)
    }

    /// How many strokes begin before `at`.
    pub fn begun_before(&self, at: Duration) -> u64 {
        let (number, rest) = at.divide(self.gait.step());
        number.unsigned_abs() + u64::from(rest != Duration::ZERO)
    }

    /// Whether there is a fall among the strokes numbered by `strokes`.
    pub fn falls_in(&self, strokes: Range<u64>) -> bool {
        match strokes.end.checked_sub(strokes.start) {
            None | Some(0) => false,
            Some(count) if strokes.end <= 64 => self.falls >> strokes.start << (64 - count) != 0,
            // After one time round the gait there is nothing new.
            Some(count) => (strokes.start..strokes.start + count.min(64))
                .any(|stroke| self.gait.stroke(stroke) == Stroke::Fall),
        }
    }

    /// The numbers of the falls from `from` on, which have no end.
    pub fn falls_from(&self, from: u64) -> impl Iterator<Item = u64> + '_ {
        (from..).filter(|stroke| self.stroke(*stroke) == Stroke::Fall)
    }

    /// When stroke number `stroke` is, from the bar's count 1.
    pub fn moment(&self, stroke: u64) -> Moment {
        Moment::START + self.gait.step().times(u32::try_from(stroke).unwrap_or(u32::MAX))
    }

    fn stroke(&self, number: u64) -> Stroke {
        if number >= 64 {
            return self.gait.stroke(number);
        }
        if self.falls >> number & 1 == 1 { Stroke::Fall } else { Stroke::Rise }
    }
}

#[cfg(test)]
mod tests {
    use lope_tune::Meter;

    use super::*;

    fn pace(gait: &str) -> Pace {
        let meter = Meter { beats: 6, unit: 8 };
        let unit = meter.slot();
        Pace::new(&Frame { meter, gait: Gait::parse(gait, unit).unwrap(), ..Frame::default() })
    }

    #[test]
    fn falls_are_where_the_gait_has_them_however_far_on() {
        for text in ["x", "x.", "x.x", "x.x.x", ".x", &".".repeat(63).replacen('.', "x", 1)] {
            let pace = pace(text);
            for from in (0..10).chain(60..70).chain(190..200) {
                for to in from..from + 9 {
                    let falls = (from..to).any(|stroke| pace.gait.stroke(stroke) == Stroke::Fall);
                    assert_eq!(pace.falls_in(from..to), falls, "{text} {from}..{to}");
                }
                assert_eq!(pace.stroke(from), pace.gait.stroke(from), "{text} {from}");
            }
            assert!(pace.falls_in(0..64), "{text}");
            assert!(!pace.falls_in(9..9), "{text}");
        }
    }

    #[test]
    fn strokes_are_counted_from_the_bar() {
        let pace = pace("x.x");
        assert_eq!(pace.bar, 6);
        assert_eq!(pace.at(Duration::new(5, 8)), (Stroke::Fall, 5));
        assert_eq!(pace.at(Duration::new(3, 16)), (Stroke::Between, 1));
        assert_eq!([pace.begun_before(Duration::new(1, 4)), pace.begun_before(Duration::new(3, 16))], [2; 2]);
        assert_eq!(pace.moment(3), Moment::START + Duration::new(3, 8));
        assert_eq!(pace.falls_from(1).take(3).collect::<Vec<_>>(), [2, 3, 5]);
    }
}
