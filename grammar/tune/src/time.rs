//! Exact time, counted in whole notes.
//!
//! A [`Moment`] is a place in time and a [`Duration`] a stretch of it: moments cannot be added to each
//! other. Both are rationals in lowest terms. Nearly every denominator in music is a power of two, and
//! lowest terms are then two shifts away, which is why this is not a general library's rational.

use std::cmp::Ordering;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

/// The finest slot, as a part of a whole note, that is kept apart from its neighbours. Anything finer is
/// reported and takes no time. A power of two times all the small numbers a brace can divide by leaves
/// room for a lifetime of whole notes in an `i64`.
pub const FINEST: i64 = 1 << 24;

/// A rational in lowest terms; the denominator is positive.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Ratio {
    num: i64,
    den: i64,
}

impl Ratio {
    const ZERO: Self = Self { num: 0, den: 1 };

    /// `num / den` in lowest terms; `den` must be positive.
    #[inline]
    const fn new(num: i64, den: i64) -> Self {
        if den & (den - 1) == 0 {
            let shift =
                if num == 0 { den.trailing_zeros() } else { min(num.trailing_zeros(), den.trailing_zeros()) };
            return Self { num: num >> shift, den: den >> shift };
        }
        let common = gcd(num.unsigned_abs(), den.unsigned_abs()) as i64;
        Self { num: num / common, den: den / common }
    }

    /// Lowest terms of a fraction that may be too wide for an `i64`; then the nearest there is below.
    fn narrow(num: i128, den: i128) -> Self {
        let common = gcd_wide(num.unsigned_abs(), den.unsigned_abs()) as i128;
        let (mut num, mut den) = (num / common, den / common);
        while i64::try_from(num).is_err() || i64::try_from(den).is_err() {
            (num, den) = (num >> 1, (den >> 1).max(1));
        }
        Self { num: num as i64, den: den as i64 }
    }

    #[inline]
    fn plus(self, other: Self) -> Self {
        let den = self.den.max(other.den);
        let powers_of_two = (self.den & (self.den - 1)) | (other.den & (other.den - 1)) == 0;
        let largest = self.num.unsigned_abs() | other.num.unsigned_abs() | den.unsigned_abs();
        if powers_of_two && largest < 1 << 31 {
            // The larger denominator is a multiple of the smaller, and no product reaches 62 bits.
            let steps = den.trailing_zeros();
            let num = (self.num << (steps - self.den.trailing_zeros()))
                + (other.num << (steps - other.den.trailing_zeros()));
            return Self::new(num, den);
        }
        self.combine(other)
    }

    /// The sum where denominators are no powers of two, or numbers are large.
    fn combine(self, other: Self) -> Self {
        if self.den == other.den
            && let Some(num) = self.num.checked_add(other.num)
        {
            return Self::new(num, self.den);
        }
        if let (Some(a), Some(b), Some(den)) = (
            self.num.checked_mul(other.den),
            other.num.checked_mul(self.den),
            self.den.checked_mul(other.den),
        ) && let Some(num) = a.checked_add(b)
        {
            return Self::new(num, den);
        }
        let (a, b) =
            (i128::from(self.num) * i128::from(other.den), i128::from(other.num) * i128::from(self.den));
        Self::narrow(a.saturating_add(b), i128::from(self.den) * i128::from(other.den))
    }

    fn times(self, num: i64, den: i64) -> Self {
        match (self.num.checked_mul(num), self.den.checked_mul(den)) {
            (Some(num), Some(den)) => Self::new(num, den),
            _ => Self::narrow(i128::from(self.num) * i128::from(num), i128::from(self.den) * i128::from(den)),
        }
    }
}

impl Ord for Ratio {
    fn cmp(&self, other: &Self) -> Ordering {
        if self.den == other.den {
            return self.num.cmp(&other.num);
        }
        (i128::from(self.num) * i128::from(other.den)).cmp(&(i128::from(other.num) * i128::from(self.den)))
    }
}

impl PartialOrd for Ratio {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.den == 1 { write!(f, "{}", self.num) } else { write!(f, "{}/{}", self.num, self.den) }
    }
}

const fn min(a: u32, b: u32) -> u32 {
    if a < b { a } else { b }
}

const fn gcd(mut a: u64, mut b: u64) -> u64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

fn gcd_wide(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
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
}

impl Duration {
    /// No time at all.
    pub const ZERO: Self = Self(Ratio::ZERO);

    /// `num` times one `den`-th of a whole note. A `den` of 0 or less stands for 1.
    pub const fn new(num: i64, den: i64) -> Self {
        if den < 1 { Self(Ratio::new(num, 1)) } else { Self(Ratio::new(num, den)) }
    }

    /// The numerator in lowest terms.
    pub const fn numerator(self) -> i64 {
        self.0.num
    }

    /// The denominator in lowest terms; at least 1.
    pub const fn denominator(self) -> i64 {
        self.0.den
    }

    /// Whether it is longer than no time.
    pub const fn is_positive(self) -> bool {
        self.0.num > 0
    }

    /// `count` of them in a row.
    pub fn times(self, count: u32) -> Self {
        Self(self.0.times(i64::from(count), 1))
    }

    /// One of `count` equal shares; none (0) stands for one.
    pub fn share(self, count: u32) -> Self {
        Self(self.0.times(1, i64::from(count.max(1))))
    }

    /// How many whole `step`s fit, and what is left over; no steps fit where `step` is not positive.
    pub fn divide(self, step: Self) -> (i64, Self) {
        if step.0.num <= 0 {
            return (0, self);
        }
        if step.0.num == 1
            && let Some(divided) = self.divide_by_halving(step)
        {
            return divided;
        }
        if self.0.den == step.0.den {
            let rest = self.0.num.rem_euclid(step.0.num);
            return (self.0.num.div_euclid(step.0.num), Self(Ratio::new(rest, self.0.den)));
        }
        let a = i128::from(self.0.num) * i128::from(step.0.den);
        let b = i128::from(step.0.num) * i128::from(self.0.den);
        let whole = a.div_euclid(b);
        let rest = Ratio::narrow(a.rem_euclid(b), i128::from(self.0.den) * i128::from(step.0.den));
        (i64::try_from(whole).unwrap_or(i64::MAX), Self(rest))
    }

    /// [`Self::divide`] where the `step` is one over a power of two and so is what is divided: shifts do,
    /// and nearly every moment in music is of that kind.
    #[inline]
    fn divide_by_halving(self, step: Self) -> Option<(i64, Self)> {
        let (Ratio { num, den }, over) = (self.0, step.0.den);
        if den & (den - 1) != 0 || over & (over - 1) != 0 {
            return None;
        }
        let (fine, coarse) = (den.trailing_zeros(), over.trailing_zeros());
        if fine > coarse {
            let whole = num >> (fine - coarse);
            return Some((whole, Self(Ratio::new(num - (whole << (fine - coarse)), den))));
        }
        let whole = num.checked_mul(1 << (coarse - fine))?;
        Some((whole, Self::ZERO))
    }

    /// Whether it is a whole number of `step`s.
    pub fn is_multiple_of(self, step: Self) -> bool {
        self.divide(step).1 == Self::ZERO
    }
}

impl Add<Duration> for Moment {
    type Output = Self;
    fn add(self, length: Duration) -> Self {
        Self(self.0.plus(length.0))
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
    fn sub(self, length: Duration) -> Self {
        Self((self.since_start() - length).0)
    }
}

impl Add for Duration {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.plus(other.0))
    }
}

impl AddAssign for Duration {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Duration {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.plus(Ratio { num: other.0.num.saturating_neg(), den: other.0.den }))
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
    fn what_no_longer_fits_never_panics() {
        let fine = Duration::new(1, i64::MAX) + Duration::new(1, i64::MAX - 1);
        assert!(fine.denominator() > 0);
        assert!(Duration::new(i64::MAX, 3).times(u32::MAX).is_positive());
        assert_eq!(Duration::new(1, -4), Duration::new(1, 1));
    }
}
