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

/// The right hand's repeating pattern of falls and rises.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Gait {
    /// The strokes, `true` for a fall; at least one.
    falls: Vec<bool>,
    /// The time from one stroke to the next.
    step: Duration,
}
