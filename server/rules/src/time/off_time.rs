//! How far bars are from full, in words.

use std::ops::Range;

use lope_tune::{BarId, Duration};

use super::fill::Bars;
use super::note_value::NoteValue;
use crate::Music;

/// Those of `bars` that have too little time or too much, and how much: `1 eighth short`, `2 eighths over`.
/// A bar that gives its pickup back is full.
pub fn off_time(music: &Music, bars: Range<u32>) -> Vec<(BarId, String)> {
    let weighed = Bars::of(music);
    let odd = bars.filter_map(|bar| weighed.judge(BarId(bar)));
    let words = odd.map(|odd| {
        let unit = music.tune.frame(&music.tune.bars[odd.bar.index()]).unit;
        let missing = odd.missing();
        let short = missing.is_positive();
        let off = if short { missing } else { Duration::ZERO - missing };
        let off = NoteValue::of(unit, &[off]).say(off);
        (odd.bar, format!("{off} {}", if short { "short" } else { "over" }))
    });
    words.collect()
}
