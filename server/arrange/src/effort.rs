//! What is easy. All numbers are tenths of the effort of moving the left hand by one fret in the midst of
//! fretted notes, which counts 10; they are weights between things that are common practice to prefer or
//! to avoid, set by ear and from memory, and not measured.

use lope_tune::{Duration, How};

use crate::steps::Step;
use crate::ways::{State, Way, Ways};

/// The thumb on the open drone: the hand is made for it, but it is not a strike.
pub const DRONE: u32 = 4;
/// The thumb dropped to a long string.
pub const DROP: u32 = 22;
/// A hammer-on or pull-off.
pub const SLUR: u32 = 10;
/// A slide, for each fret it goes beyond two.
pub const SLIDE: u32 = 16;
/// Another, open string sounded by the left hand alone.
pub const ALTERNATE: u32 = 40;
/// Another string hammered by the left hand alone.
pub const ALTERNATE_HAMMER: u32 = 120;
/// A fretted note rather than an open string.
pub const FRETTED: u32 = 4;
/// Each fret that the hand moves from one fretted note straight to the next.
pub const SHIFT: u32 = 10;
/// Each fret that the hand moves while an open string sounds, or over a note that lasts.
pub const EASY_SHIFT: u32 = 4;
/// Each fret of the hand's place on the neck above the first.
pub const HEIGHT: u32 = 2;
/// Each string that the finger crosses between one fall and the next.
pub const CROSS: u32 = 2;
/// Each string crossed when the falls follow straight on each other.
pub const FAST_CROSS: u32 = 3;
/// A thumb planted on a long string by a fall on air, which nothing guides.
pub const BLIND: u32 = 15;
/// An ornament left out.
pub const LEFT_OUT: u32 = 400;
/// A grace note left out.
pub const GRACE_LEFT_OUT: u32 = 60;

/// Of two falls, the second follows straight on the first when no more than this lies between them.
const FAST: Duration = Duration::new(1, 8);
/// A note that lasts this long gives the hand time to move.
const LASTING: Duration = Duration::new(1, 4);

/// The effort of coming from `from` to sound `step` by `way`.
pub fn of(from: &State, step: &Step, way: &Way) -> u32 {
    let Way::Play { string, fret, how, position } = *way else {
        return if step.grace { GRACE_LEFT_OUT } else { LEFT_OUT };
    };
    let sounding = match how {
        How::Strike => 0,
        How::Thumb if string == 5 => DRONE,
        How::Thumb => DROP + if step.air { BLIND } else { 0 },
        How::Slide => SLIDE + SLUR / 2 * u32::from(fret.abs_diff(from.fret).saturating_sub(2)),
        How::Hammer if string != from.string => ALTERNATE_HAMMER,
        _ if string != from.string => ALTERNATE,
        _ => SLUR,
    };
    sounding + left_hand(from, step, fret, how, position) + crossing(from, step, string, how)
}

/// The least effort of going on from `from` to sound `step`, where that can be done.
pub fn least(from: &State, step: &Step, ways: &Ways<'_>) -> Option<u32> {
    ways.sounding(from, step).map(|way| of(from, step, &way)).min()
}

fn left_hand(from: &State, step: &Step, fret: u8, how: How, position: u8) -> u32 {
    if fret == 0 {
        return 0;
    }
    let moved = u32::from(position.abs_diff(from.position));
    let shift = match how {
        // The slide itself takes the hand along.
        How::Slide => 0,
        _ if from.fret == 0 || step.since >= LASTING => EASY_SHIFT,
        _ => SHIFT,
    };
    FRETTED + moved * shift + HEIGHT * u32::from(position.saturating_sub(1))
}

fn crossing(from: &State, step: &Step, string: u8, how: How) -> u32 {
    if how != How::Strike || from.string == 0 {
        return 0;
    }
    let each = if step.since <= FAST { FAST_CROSS } else { CROSS };
    u32::from(string.abs_diff(from.string)) * each
}
