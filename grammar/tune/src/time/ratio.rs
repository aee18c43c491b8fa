use std::cmp::Ordering;
use std::fmt;

use super::FINEST;

/// The parts of a whole note that cost nothing: halves twelve times over, thirds three times, a fifth and
/// a seventh.
const GRAIN: i64 = 4096 * 27 * 5 * 7;

/// How finely grains may be divided in turn for sums to stay exact.
const FINEST_SHARE: u64 = FINEST as u64;

/// A rational: `grains` parts of a whole note that has `GRAIN * share` of them. The two have no divisor in
/// common, so equal times are equal numbers.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Ratio {
    pub grains: i64,
    /// At least 1.
    pub share: u32,
}

impl Ratio {
    pub const ZERO: Self = Self { grains: 0, share: 1 };

    /// `num` parts of a whole note that has `den` of them; `den` must be positive.
    #[inline]
    pub const fn new(num: i64, den: i64) -> Self {
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
    pub const fn narrow(grains: i128, share: u128) -> Self {
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
    pub fn plus(self, other: Self) -> (Self, bool) {
        if self.share | other.share == 1
            && let Some(grains) = self.grains.checked_add(other.grains)
        {
            return (Self { grains, share: 1 }, true);
        }
        self.combine(other)
    }

    /// The sum where grains are shared, or there are too many.
    #[cold]
    pub fn combine(self, other: Self) -> (Self, bool) {
        let (a, b) = (u128::from(self.share), u128::from(other.share));
        let common = a / gcd(a, b) * b;
        let scaled = |ratio: Self, share: u128| i128::from(ratio.grains) * (common / share) as i128;
        let sum = scaled(self, a) + scaled(other, b);
        (Self::narrow(sum, common), common <= u128::from(FINEST_SHARE) && i64::try_from(sum).is_ok())
    }

    pub fn times(self, num: u32, den: u32) -> Self {
        if self.share == 1
            && let Some(product) = self.grains.checked_mul(i64::from(num))
            && product % i64::from(den) == 0
        {
            return Self { grains: product / i64::from(den), share: 1 };
        }
        Self::narrow(i128::from(self.grains) * i128::from(num), u128::from(self.share) * u128::from(den))
    }

    /// Numerator and denominator in lowest terms.
    pub const fn fraction(self) -> (i64, i64) {
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
