//! How loud a note is.

use lope_tune::{How, Note};

/// The MIDI velocity of each kind of note. The order is common practice: a strike carries the tune, the thumb
/// is lighter, and what the left hand does alone is softer than what it follows. The numbers are this
/// project's own, set by comparing the loudness of what comes out.
const STRIKE: u8 = 92;
const THUMB: u8 = 80;
const HAMMER_OR_PULL: u8 = 72;
const SLIDE: u8 = 68;

/// What a beat adds, and an accent.
const BEAT: u8 = 6;
const ACCENT: u8 = 24;

/// What each string of a brush takes off, since they sound together.
const BRUSHED: u8 = 10;

/// How loud `note` is: on a beat or off it, in a brush or alone.
pub const fn level(note: &Note, on_beat: bool, in_brush: bool) -> u8 {
    let touch = match note.how {
        How::Strike => STRIKE,
        How::Thumb => THUMB,
        How::Hammer | How::Pull => HAMMER_OR_PULL,
        How::Slide => SLIDE,
    };
    let beat = if on_beat { BEAT } else { 0 };
    let accent = if note.marks.accent { ACCENT } else { 0 };
    touch + beat + accent - if in_brush { BRUSHED } else { 0 }
}
