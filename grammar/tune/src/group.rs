use crate::{Duration, Frame, Gait, Moment};

/// The slots of a bar that a player takes in at a glance, and that `tidy` sets apart by two blanks: three
/// in a jig, two in a reel, four in a polka.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Group {
    /// Which group of its bar it is, counted from 0.
    pub number: u32,
    /// Where it begins, from the start of a whole bar.
    pub start: Moment,
    /// The time it has.
    pub length: Duration,
}

impl Frame {
    /// The group that holds the place `at`, which is counted from the start of a whole bar.
    ///
    /// Groups are the meter's beats where the gait starts over on each of them (common practice). Elsewhere,
    /// in 7/8 or with a gait of its own, a group begins at each fall that a rise follows: `x.x.x.x` is two,
    /// two and three. A last group that the meter cuts short ends with the bar.
    pub fn group(&self, at: Moment) -> Group {
        let beat = self.meter.beat();
        let mut group = if beat.is_multiple_of(self.gait.period()) {
            let number = at.since_start().divide(beat).0;
            Group { number: narrow(number), start: Moment::START + beat.times(narrow(number)), length: beat }
        } else {
            self.gait.group(at)
        };
        let bar_end = Moment::START + self.meter.bar();
        if group.start < bar_end && bar_end < group.start + group.length {
            group.length = bar_end - group.start;
        }
        group
    }
}

impl Gait {
    /// The group at `at` where each fall that a rise follows begins one, and so does each time the gait
    /// starts over.
    fn group(self, at: Moment) -> Group {
        let strokes = u64::from(self.strokes());
        let (rounds, rest) = at.since_start().divide(self.period());
        let stroke = rest.divide(self.step()).0.unsigned_abs();
        let starts = self.group_starts();
        let upto = starts & (u64::MAX >> (63 - stroke.min(63)));
        let first = u64::from(63 - upto.leading_zeros().min(63));
        let beyond = (starts >> first) >> 1;
        let strokes_in_it =
            if beyond == 0 { strokes - first } else { u64::from(beyond.trailing_zeros()) + 1 };
        let rounds = narrow(rounds);
        let before = self.period().times(rounds) + self.step().times(first as u32);
        Group {
            number: rounds.saturating_mul(starts.count_ones()).saturating_add(upto.count_ones() - 1),
            start: Moment::START + before,
            length: self.step().times(strokes_in_it as u32),
        }
    }
}

/// A count that is never negative in a tune, as far as it can be told.
fn narrow(count: i64) -> u32 {
    u32::try_from(count.max(0)).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use crate::{Duration, Frame, Gait, Meter, Moment};

    /// The lengths of the groups of a bar, in slots.
    #[track_caller]
    fn check(meter: &str, slots: i64, gait: Option<&str>, expected: &[i64]) {
        let meter = Meter::parse(meter).unwrap();
        let unit = Duration::new(1, slots);
        let gait = gait.map_or(Gait::of(meter, unit), |text| Gait::parse(text, unit).unwrap());
        let frame = Frame { meter, unit, gait, ..Frame::default() };
        let mut lengths = Vec::new();
        let mut at = Moment::START;
        while at < Moment::START + meter.bar() {
            let group = frame.group(at);
            assert_eq!((group.number as usize, group.start), (lengths.len(), at));
            let last = frame.group(at + group.length - Duration::new(1, 1000));
            assert_eq!(last, group, "its end is in it");
            lengths.push(group.length.divide(unit).0);
            at += group.length;
        }
        assert_eq!(lengths, expected);
    }

    #[test]
    fn groups_are_beats_where_the_gait_fits_them() {
        check("6/8", 8, None, &[3, 3]);
        check("9/8", 8, None, &[3, 3, 3]);
        check("12/8", 16, None, &[6, 6, 6, 6]);
        check("4/4", 8, None, &[2, 2, 2, 2]);
        check("3/4", 8, None, &[2, 2, 2]);
        check("2/4", 16, None, &[4, 4]);
        check("2/2", 8, None, &[4, 4]);
    }

    #[test]
    fn groups_follow_the_gait_where_it_does_not_fit_the_beat() {
        check("7/8", 8, None, &[2, 2, 3]);
        check("5/8", 8, None, &[2, 3]);
        check("7/8", 8, Some("x.xx.x."), &[3, 2, 2]);
        check("4/4", 8, Some("x.xx.xx."), &[3, 3, 2]);
        check("3/4", 8, Some("x.x"), &[3, 3]);
        check("4/4", 8, Some("x.x"), &[3, 3, 2]);
        check("4/8", 8, None, &[2, 2]);
        check("4/4", 8, Some(".x.x"), &[1, 2, 1, 1, 2, 1]);
    }

    #[test]
    fn places_beyond_the_bar_have_groups_too() {
        let jig = Meter { beats: 6, unit: 8 };
        let frame = Frame { meter: jig, gait: Gait::of(jig, jig.slot()), ..Frame::default() };
        assert_eq!(frame.group(Moment::START + Duration::new(7, 8)).number, 2);
        assert_eq!(frame.group(Moment::START + Duration::new(i64::MAX, 1)).number, u32::MAX);
    }
}
