//! Exact time, counted in whole notes.
//!
//! A [`Moment`] is a place in time and a [`Duration`] a stretch of it: moments cannot be added to each
//! other. Both are rationals. Nearly all of music divides a whole note into halves, thirds, fifths and
//! sevenths a few times over, so a time is kept as a whole number of grains (`ratio`) where it can be, and
//! sums and comparisons are those of whole numbers; only other divisions pay for a general fraction.
//! That is why this is not a general library's rational.

mod ratio;

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

use ratio::Ratio;

/// The finest slot, as a part of a whole note, that is kept apart from its neighbours. Anything finer is
/// reported and takes no time.
pub const FINEST: i64 = 1 << 24;

/// A place in time, in whole notes from the start of whatever is being counted.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(Ratio);

/// A stretch of time in whole notes; never negative in a tune, but a difference may be.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Duration(Ratio);

impl Moment {
    /// Where counting starts.
    pub const START: Self = Self(Ratio::ZERO);

    /// The time since the start.
    pub const fn since_start(self) -> Duration {
        Duration(self.0)
    }

    /// The moment `length` later, where it can be told exactly.
    #[inline]
    pub fn exactly_after(self, length: Duration) -> Option<Self> {
        let (sum, exact) = self.0.plus(length.0);
        exact.then_some(Self(sum))
    }
}

impl Duration {
    /// No time at all.
    pub const ZERO: Self = Self(Ratio::ZERO);

    /// `num` times one `den`-th of a whole note. A `den` of 0 or less stands for 1.
    pub const fn new(num: i64, den: i64) -> Self {
        Self(Ratio::new(num, if den < 1 { 1 } else { den }))
    }

    /// The numerator in lowest terms.
    pub const fn numerator(self) -> i64 {
        self.0.fraction().0
    }

    /// The denominator in lowest terms; at least 1.
    pub const fn denominator(self) -> i64 {
        self.0.fraction().1
    }

    /// Whether it is longer than no time.
    pub const fn is_positive(self) -> bool {
        self.0.grains > 0
    }

    /// `count` of them in a row.
    pub fn times(self, count: u32) -> Self {
        Self(self.0.times(count, 1))
    }

    /// One of `count` equal shares; none (0) stands for one.
    pub fn share(self, count: u32) -> Self {
        Self(self.0.times(1, count.max(1)))
    }

    /// How many whole `step`s fit, and what is left over; no steps fit where `step` is not positive.
    #[inline]
    pub fn divide(self, step: Self) -> (i64, Self) {
        let (Ratio { grains, share }, Ratio { grains: step_grains, share: step_share }) = (self.0, step.0);
        if step_grains <= 0 {
            return (0, self);
        }
        if share | step_share == 1 {
            // Dividing narrow numbers takes a processor a fraction of the time.
            let whole = match (u32::try_from(grains), u32::try_from(step_grains)) {
                (Ok(grains), Ok(step)) => i64::from(grains / step),
                _ => grains.div_euclid(step_grains),
            };
            return (whole, Self(Ratio { grains: grains - whole * step_grains, share: 1 }));
        }
        let (a, b) =
            (i128::from(grains) * i128::from(step_share), i128::from(step_grains) * i128::from(share));
        let rest = Ratio::narrow(a.rem_euclid(b), u128::from(share) * u128::from(step_share));
        (i64::try_from(a.div_euclid(b)).unwrap_or(i64::MAX), Self(rest))
    }

    /// Whether it is a whole number of `step`s.
    pub fn is_multiple_of(self, step: Self) -> bool {
        self.divide(step).1 == Self::ZERO
    }
}

impl Add<Duration> for Moment {
    type Output = Self;
    #[inline]
    fn add(self, length: Duration) -> Self {
        Self(self.0.plus(length.0).0)
    }
}

impl AddAssign<Duration> for Moment {
    fn add_assign(&mut self, length: Duration) {
        *self = *self + length;
    }
}

impl Sub for Moment {
    type Output = Duration;
    fn sub(self, earlier: Self) -> Duration {
        self.since_start() - earlier.since_start()
    }
}

impl Sub<Duration> for Moment {
    type Output = Self;
    #[inline]
    fn sub(self, length: Duration) -> Self {
        Self((self.since_start() - length).0)
    }
}

impl Add for Duration {
    type Output = Self;
    #[inline]
    fn add(self, other: Self) -> Self {
        Self(self.0.plus(other.0).0)
    }
}

impl AddAssign for Duration {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Duration {
    type Output = Self;
    #[inline]
    fn sub(self, other: Self) -> Self {
        Self(self.0.plus(Ratio { grains: other.0.grains.saturating_neg(), share: other.0.share }).0)
    }
}

impl Sum for Duration {
    fn sum<I: Iterator<Item = Self>>(durations: I) -> Self {
        durations.fold(Self::ZERO, Add::add)
    }
}

impl Default for Moment {
    fn default() -> Self {
        Self::START
    }
}

impl Default for Duration {
    fn default() -> Self {
        Self::ZERO
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl fmt::Display for Duration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl fmt::Debug for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "@{}", self.0)
    }
}

impl fmt::Debug for Duration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_in_lowest_terms() {
        let eighth = Duration::new(1, 8);
        assert_eq!(eighth + eighth, Duration::new(1, 4));
        assert_eq!(Duration::new(1, 12) + Duration::new(1, 6), Duration::new(1, 4));
        assert_eq!((0..3).map(|_| Duration::new(1, 12)).sum::<Duration>().to_string(), "1/4");
        assert_eq!(Duration::new(1, 8) - Duration::new(1, 6), Duration::new(-1, 24));
    }

    #[test]
    fn division_leaves_a_rest() {
        assert_eq!(Duration::new(7, 8).divide(Duration::new(3, 8)), (2, Duration::new(1, 8)));
        assert_eq!(Duration::new(1, 12).divide(Duration::new(1, 8)), (0, Duration::new(1, 12)));
        assert!(Duration::new(6, 8).is_multiple_of(Duration::new(1, 12)));
        assert_eq!(Duration::new(1, 8).divide(Duration::ZERO), (0, Duration::new(1, 8)));
        assert_eq!(Duration::new(-3, 16).divide(Duration::new(1, 8)), (-2, Duration::new(1, 16)));
        assert_eq!(Duration::new(3, 4).divide(Duration::new(1, 16)), (12, Duration::ZERO));
    }

    #[test]
    fn moments_of_different_denominators_compare_exactly() {
        assert!(Moment::START + Duration::new(1, 3) > Moment::START + Duration::new(333_333, 1_000_000));
        assert!(Duration::new(2, 3) < Duration::new(3, 4));
    }

    #[test]
    fn divisions_that_are_no_whole_grains_stay_exact() {
        let share = Duration::new(1, 8).share(11);
        assert_eq!(share, Duration::new(1, 88));
        assert_eq!(share.times(11), Duration::new(1, 8));
        assert_eq!((share + Duration::new(1, 13)).to_string(), "101/1144");
        assert_eq!(share.divide(Duration::new(1, 176)), (2, Duration::ZERO));
        assert!(share < Duration::new(1, 87));
    }

    #[test]
    fn what_no_longer_fits_never_panics_and_says_that_it_is_not_exact() {
        let fine = Duration::new(1, i64::MAX) + Duration::new(1, i64::MAX - 1);
        assert!(fine.denominator() > 0);
        assert!(Duration::new(i64::MAX, 3).times(u32::MAX).is_positive());
        assert!(Duration::new(i64::MIN, 1) < Duration::ZERO);
        assert_eq!(Duration::new(1, -4), Duration::new(1, 1));
        let (a, b) = (Duration::new(1, 8191), Duration::new(1, 8179));
        assert_eq!(Moment::START.exactly_after(a).and_then(|at| at.exactly_after(b)), None);
        assert!(Moment::START.exactly_after(a).is_some());
    }
}
