//! Exact time, counted in whole notes.
//!
//! A [`Moment`] is a place in time and a [`Duration`] a stretch of it: moments cannot be added to each
//! other. Both are rationals. Nearly all of music divides a whole note into halves, thirds, fifths and
//! sevenths a few times over, so a time is kept as a whole number of [`GRAIN`]ths where it can be, and
//! sums and comparisons are those of whole numbers; only other divisions pay for a general fraction.
//! That is why this is not a general library's rational.

use std::cmp::Ordering;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

/// The parts of a whole note that cost nothing: halves twelve times over, thirds three times, a fifth and
/// a seventh.
const GRAIN: i64 = 4096 * 27 * 5 * 7;

/// The finest slot, as a part of a whole note, that is kept apart from its neighbours. Anything finer is
/// reported and takes no time.
pub const FINEST: i64 = 1 << 24;

/// How finely grains may be divided in turn for sums to stay exact.
const FINEST_SHARE: u64 = FINEST as u64;

/// A rational: `grains` parts of a whole note that has `GRAIN * share` of them. The two have no divisor in
/// common, so equal times are equal numbers.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Ratio {
    grains: i64,
    /// At least 1.
    share: u32,
}

impl Ratio {
    const ZERO: Self = Self { grains: 0, share: 1 };

    /// `num` parts of a whole note that has `den` of them; `den` must be positive.
    #[inline]
    const fn new(num: i64, den: i64) -> Self {
        if GRAIN % den == 0
            && let Some(grains) = num.checked_mul(GRAIN / den)
        {
            return Self { grains, share: 1 };
        }
        let common = gcd(GRAIN as u128, den as u128) as i64;
        Self::narrow(num as i128 * (GRAIN / common) as i128, (den / common) as u128)
    }

    /// `grains` shares of a grain of which there are `share` in it, or the nearest time below of those
    /// that can be kept.
    const fn narrow(grains: i128, share: u128) -> Self {
        let common = gcd(grains.unsigned_abs(), share);
        let (mut grains, mut share) = (grains / common as i128, share / common);
        while share > FINEST_SHARE as u128 {
            (grains, share) = (grains >> 1, share >> 1);
        }
        let widest = i64::MAX as i128;
        let kept = if grains > widest {
            i64::MAX
        } else if grains < -widest {
            -i64::MAX
        } else {
            grains as i64
        };
        let common = gcd(kept.unsigned_abs() as u128, share) as i64;
        Self { grains: kept / common, share: share as u32 / common as u32 }
    }

    /// The sum, and whether it is exact.
    #[inline]
    fn plus(self, other: Self) -> (Self, bool) {
        if self.share | other.share == 1
            && let Some(grains) = self.grains.checked_add(other.grains)
        {
            return (Self { grains, share: 1 }, true);
        }
        self.combine(other)
    }

    /// The sum where grains are shared, or there are too many.
    #[cold]
    fn combine(self, other: Self) -> (Self, bool) {
        let (a, b) = (u128::from(self.share), u128::from(other.share));
        let common = a / gcd(a, b) * b;
        let scaled = |ratio: Self, share: u128| i128::from(ratio.grains) * (common / share) as i128;
        let sum = scaled(self, a) + scaled(other, b);
        (Self::narrow(sum, common), common <= u128::from(FINEST_SHARE) && i64::try_from(sum).is_ok())
    }

    fn times(self, num: u32, den: u32) -> Self {
        if self.share == 1
            && let Some(product) = self.grains.checked_mul(i64::from(num))
            && product % i64::from(den) == 0
        {
            return Self { grains: product / i64::from(den), share: 1 };
        }
        Self::narrow(i128::from(self.grains) * i128::from(num), u128::from(self.share) * u128::from(den))
    }

    /// Numerator and denominator in lowest terms.
    const fn fraction(self) -> (i64, i64) {
        let whole = GRAIN as u128 * self.share as u128;
        let common = gcd(self.grains.unsigned_abs() as u128, whole);
        (self.grains / common as i64, (whole / common) as i64)
    }
}

impl Ord for Ratio {
    #[inline]
    fn cmp(&self, other: &Self) -> Ordering {
        if self.share == other.share {
            return self.grains.cmp(&other.grains);
        }
        let (a, b) = (i128::from(self.grains), i128::from(other.grains));
        (a * i128::from(other.share)).cmp(&(b * i128::from(self.share)))
    }
}

impl PartialOrd for Ratio {
    #[inline]
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (num, den) = self.fraction();
        if den == 1 { write!(f, "{num}") } else { write!(f, "{num}/{den}") }
    }
}

const fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    if a == 0 { 1 } else { a }
}

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
