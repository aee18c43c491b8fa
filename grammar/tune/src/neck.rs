//! The neck: lengths in millimetres. The only place in this crate where numbers are not exact.

/// A banjo's neck, as far as reach and range depend on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Neck {
    /// How many frets it has.
    pub frets: u8,
    /// From nut to bridge, in millimetres.
    pub scale_mm: f64,
    /// The widest comfortable reach between the lowest and highest held fret, in millimetres.
    pub reach_mm: f64,
}
