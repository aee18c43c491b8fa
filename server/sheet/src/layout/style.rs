//! The measures of the house, in points. Where nothing else is said they were found by eye.

use lope_tune::Meter;

use crate::font;
use crate::frame::Face;

/// From one string to the next.
pub const SPACE: f32 = 7.4;
/// From the first string to the drone.
pub const STAFF: f32 = 4.0 * SPACE;
/// The size of frets.
pub const FRET: f32 = 9.4;
/// From a string up to the top of a fret on it, and down to its foot.
pub const FRET_HALF: f32 = FRET * font::CAPITAL / 2.0;
/// What is left free between a fret and its string on either side.
pub const FRET_AIR: f32 = 1.1;

/// The thickness of strings.
pub const STRING_LINE: f32 = 0.5;
/// The thickness of bar lines.
pub const BAR_LINE: f32 = 0.8;
/// The thickness of the heavy line at the end and at repeats.
pub const HEAVY_LINE: f32 = 2.6;
/// The thickness of stems, brackets and arcs.
pub const FINE_LINE: f32 = 0.75;
/// The thickness of beams.
pub const BEAM: f32 = 2.3;
/// From one beam to the next.
pub const BEAM_STEP: f32 = 3.7;

/// From the drone to where stems begin, and to where they end.
pub const STEM_TOP: f32 = 6.0;
/// See [`STEM_TOP`].
pub const STEM_END: f32 = 19.5;
/// From the end of stems to the middle of a tuplet's number.
pub const TUPLET: f32 = 6.0;
/// The room that a row of tuplets takes.
pub const TUPLET_ROW: f32 = 9.5;
/// From the end of stems or tuplets to the middle of the lane of strokes.
pub const LANE: f32 = 8.5;
/// Half of the height and width of a stroke.
pub const STROKE: f32 = 2.9;
/// The room that the lane takes.
pub const LANE_ROW: f32 = 11.0;
/// The size of the count.
pub const COUNT: f32 = 7.0;
/// The room that the count takes.
pub const COUNT_ROW: f32 = 9.0;

/// The least room between two moments with a stroke or a count.
pub const STEP_LEAST: f32 = 7.6;
/// The least room between the outlines of two columns.
pub const COLUMN_AIR: f32 = 2.4;
/// The room of an eighth in a line that is neither stretched nor pressed.
pub const EIGHTH: f32 = 16.0;
/// How much more room twice the time has: 2 to this power. Music engravers have used powers between 0.5 and
/// 0.7 (from memory).
pub const GROWTH: f32 = 0.62;
/// From a bar line to the outline of the first column.
pub const BAR_LEFT: f32 = 6.0;
/// What a repeat sign takes more, before a bar and after it.
pub const REPEAT: f32 = 9.0;
/// What a meter takes more than its digits.
pub const METER: f32 = 4.0;
/// The size of the digits of a meter.
pub const METER_SIZE: f32 = 20.0;
/// The room for the notes that the strings are tuned to.
pub const TUNING: f32 = 17.0;

/// The size of words, chord symbols, and the letters of slurs.
pub const WORDS: f32 = 8.8;
/// See [`WORDS`].
pub const CHORD: f32 = 10.0;
/// See [`WORDS`].
pub const SLUR: f32 = 6.6;
/// The size of a left-hand finger.
pub const FINGER: f32 = 6.2;
/// The size of bar numbers.
pub const NUMBER: f32 = 7.0;

/// From one system to the next.
pub const BETWEEN: f32 = 15.0;
/// How much larger large print is.
pub const LARGE: f32 = 1.4;

/// How wide `fret` is where it stands.
pub fn fret_width(fret: u8) -> f32 {
    font::width(Face::Regular, FRET, if fret < 10 { "0" } else { "00" })
}

/// The words of a fret; a question where it is larger than any that is kept.
pub fn fret_words(fret: u8) -> String {
    if fret == u8::MAX { "?".to_owned() } else { fret.to_string() }
}

/// How wide the digits of `meter` are.
pub fn meter_width(meter: Meter) -> f32 {
    let digits = if meter.beats > 9 || meter.unit > 9 { "00" } else { "0" };
    font::width(Face::Bold, METER_SIZE, digits)
}
