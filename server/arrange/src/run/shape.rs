//! What a run sounds like. All numbers are in the units of [`crate::effort`], so that the smoother of two runs
//! and the easier can be weighed against each other; they are set by ear and from memory.

use lope_tune::Pitch;

use super::Slot;

/// Each semitone of a leap beyond a step of the scale.
pub const LEAP: u32 = 3;
/// Each turn from up to down or from down to up.
pub const TURN: u32 = 8;
/// A three that begins on no tone of the chord.
pub const OFF_CHORD: u32 = 10;
/// Each semitone between the first note of a three and the melody's note at that moment.
pub const DRIFT: u32 = 2;

/// The widest leap, in semitones.
pub const WIDEST_LEAP: u8 = 7;
/// How far beyond the melody's highest and lowest note a run goes, in semitones.
pub const BEYOND: u8 = 5;

/// A step of the scale is no more than this, in semitones.
const STEP: u8 = 2;

/// Where a line is going.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Heading {
    /// It has just begun.
    #[default]
    Begun,
    /// Up.
    Up,
    /// Down.
    Down,
}

impl Heading {
    /// Where a line goes that goes from `from` to another pitch.
    pub fn between(from: Pitch, to: Pitch) -> Self {
        if to > from { Self::Up } else { Self::Down }
    }
}

/// What it costs the ear to come to `to` in `slot` from `from`, when the line was going to `heading`.
pub fn roughness(from: Pitch, heading: Heading, to: Pitch, slot: &Slot) -> u32 {
    let leap = u32::from(to.0.abs_diff(from.0).saturating_sub(STEP)) * LEAP;
    let turns = heading != Heading::Begun && heading != Heading::between(from, to);
    let Some(melody) = slot.melody else { return leap + if turns { TURN } else { 0 } };
    let off = slot.fit.is_off_chord(to) && to != melody;
    let drift = u32::from(to.0.abs_diff(melody.0)) * DRIFT;
    leap + if turns { TURN } else { 0 } + if off { OFF_CHORD } else { 0 } + drift
}
