use std::fmt;

use crate::{Duration, Gait};

/// A time signature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Meter {
    /// How many of them fill a bar: 1 to 99.
    pub beats: u32,
    /// Which part of a whole note each is: 1, 2, 4, 8, 16 or 32.
    pub unit: u32,
}

impl Meter {
    /// Reads `6/8`.
    pub fn parse(text: &str) -> Option<Self> {
        let (beats, unit) = text.split_once('/')?;
        let meter = Self { beats: beats.trim().parse().ok()?, unit: unit.trim().parse().ok()? };
        let plays = (1..=99).contains(&meter.beats) && [1, 2, 4, 8, 16, 32].contains(&meter.unit);
        plays.then_some(meter)
    }

    /// The time of a whole bar.
    pub const fn bar(self) -> Duration {
        Duration::new(self.beats as i64, self.unit as i64)
    }

    /// Whether beats are counted in threes: 6/8, 9/8, 12/8 and their like.
    pub const fn is_compound(self) -> bool {
        self.unit >= 8 && self.beats.is_multiple_of(3)
    }

    /// The beat that a tempo counts.
    pub const fn beat(self) -> Duration {
        if self.is_compound() {
            Duration::new(3, self.unit as i64)
        } else {
            Duration::new(1, self.unit as i64)
        }
    }

    /// The slot where no `unit` field says otherwise: a sixteenth in 2/4, else an eighth, or the meter's
    /// own unit where that is finer.
    pub const fn slot(self) -> Duration {
        match (self.beats, self.unit) {
            (2, 4) => Duration::new(1, 16),
            (_, unit @ (16 | 32)) => Duration::new(1, unit as i64),
            _ => Duration::new(1, 8),
        }
    }
}

impl Default for Meter {
    /// Four quarters.
    fn default() -> Self {
        Self { beats: 4, unit: 4 }
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.beats, self.unit)
    }
}

/// The time in force over a stretch of bars.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// The meter.
    pub meter: Meter,
    /// The length of one slot.
    pub unit: Duration,
    /// The right hand's pattern; the meter's own where no field says otherwise.
    pub gait: Gait,
    /// Beats a minute; the beat of compound time is three eighths.
    pub tempo: u32,
    /// How slots of a beat are leaned on.
    pub feel: Feel,
}

impl Frame {
    /// How long `length` takes at the tempo, in whole microseconds, rounded down.
    pub fn micros(&self, length: Duration) -> u64 {
        let beat = self.meter.beat();
        let wide = |n: i64| u128::from(n.unsigned_abs());
        let micros = 60_000_000 * wide(length.numerator()) * wide(beat.denominator())
            / (wide(length.denominator()) * wide(beat.numerator()) * u128::from(self.tempo)).max(1);
        u64::try_from(micros).unwrap_or(u64::MAX)
    }
}

impl Default for Frame {
    /// Common time at 90 beats a minute.
    fn default() -> Self {
        let meter = Meter::default();
        let unit = meter.slot();
        Self { meter, unit, gait: Gait::of(meter, unit), tempo: 90, feel: Feel::Straight }
    }
}

/// How pairs of slots are played.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Feel {
    /// As written.
    #[default]
    Straight,
    /// The first of a pair is longer: `swing 2:1`.
    Swing {
        /// The share of the first slot, 1 to 9.
        long: u32,
        /// The share of the second slot, 1 to 9.
        short: u32,
    },
}

impl Feel {
    /// Reads `straight` or `swing 2:1`.
    pub fn parse(text: &str) -> Option<Self> {
        let mut words = text.split_whitespace();
        let feel = match words.next()? {
            "straight" => Self::Straight,
            "swing" => {
                let (long, short) = words.next()?.split_once(':')?;
                let (long, short) = (long.parse().ok()?, short.parse().ok()?);
                let swings = (1..=9).contains(&long) && (1..=9).contains(&short);
                swings.then_some(Self::Swing { long, short })?
            }
            _ => return None,
        };
        words.next().is_none().then_some(feel)
    }
}

impl fmt::Display for Feel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Straight => f.write_str("straight"),
            Self::Swing { long, short } => write!(f, "swing {long}:{short}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn meters_that_nobody_counts_are_refused() {
        assert_eq!(Meter::parse("6 / 8"), Some(Meter { beats: 6, unit: 8 }));
        for text in ["0/8", "999/1", "6/7", "6", "-6/8", "6/8/8", "", "4294967296/8"] {
            assert_eq!(Meter::parse(text), None, "{text}");
        }
    }

    #[test]
    fn a_jig_at_100_has_slots_of_200_ms() {
        let meter = Meter { beats: 6, unit: 8 };
        let frame = Frame { meter, tempo: 100, ..Frame::default() };
        assert_eq!(frame.micros(Duration::new(1, 8)), 200_000);
        assert_eq!(frame.micros(meter.bar()), 1_200_000);
    }

    #[test]
    fn feel_is_straight_or_a_swing_of_two_shares() {
        assert_eq!(Feel::parse("straight"), Some(Feel::Straight));
        assert_eq!(Feel::parse("swing 2:1"), Some(Feel::Swing { long: 2, short: 1 }));
        assert_eq!(Feel::parse("swing"), None);
        assert_eq!(Feel::parse("swing 0:1"), None);
        assert_eq!(Feel::parse("straight on"), None);
    }
}
