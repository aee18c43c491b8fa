use crate::{Duration, Gait};

/// A time signature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Meter {
    /// How many of them fill a bar: 1 to 99.
    pub beats: u32,
    /// Which part of a whole note each is: 1, 2, 4, 8, 16 or 32.
    pub unit: u32,
}

/// The time in force over a stretch of bars.
#[derive(Clone, Debug, PartialEq)]
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

/// How pairs of slots are played.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Feel {
    /// As written.
    #[default]
    Straight,
    /// The first of a pair is longer: `swing 2:1`.
    Swing {
        /// The share of the first slot.
        long: u32,
        /// The share of the second slot.
        short: u32,
    },
}
