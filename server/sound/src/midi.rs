//! The schedule as a standard MIDI file (SMF 1.0, format 1).

mod conductor;
mod due;
mod strings;
mod track;

use lope_tune::{Duration, Moment, Tune};

use self::track::Track;
use crate::{Schedule, Unwritable};

/// The ticks of a quarter note. 10080 is a multiple of all the parts of it that music is made of: a 32nd of
/// it, thirds of thirds, a fifth and a seventh; and of 480, which many programs count in. Only what is finer,
/// and the spread of a brush, is rounded: to the nearest tick, less than 0.1 ms.
pub const QUARTER: u16 = 10_080;

/// A tick, as a part of a whole note.
pub const TICK: Duration = Duration::new(1, 4 * QUARTER as i64);

/// `schedule` of `tune` as a standard MIDI file.
///
/// The first track has the title, the meters, the tempos, a guess at the key signature, the name of each part as a
/// marker, words as lyrics and chord symbols as texts. The second has the strings on channels 1 to 5, one each, so that a string bends and stops
/// for itself, as General MIDI's banjo (program 106, counted from 1). A third has the clicks, where there are
/// any, on General MIDI's drum channel.
///
/// # Errors
///
/// [`Unwritable::TooSlow`] where a tempo is slower than the numbers of the form go, and [`Unwritable::Output`] where
/// a track has more than four gigabytes.
pub fn midi(tune: &Tune, schedule: &Schedule) -> Result<Vec<u8>, Unwritable> {
    let end = ticks(schedule.end);
    let has_clicks = !schedule.clicks.is_empty();
    let [tracks, quarter] = [2 + u16::from(has_clicks), QUARTER].map(u16::to_be_bytes);
    // A sound begins and ends, in four or five bytes each.
    let mut file = Vec::with_capacity(16 * (schedule.sounds.len() + schedule.clicks.len()) + 4096);
    file.extend_from_slice(b"MThd\0\0\0\x06\0\x01");
    file.extend_from_slice(&[tracks, quarter].concat());
    let mut track = Track::begin(&mut file);
    conductor::write(tune, schedule, &mut track)?;
    track.end(end)?;
    let mut track = Track::begin(&mut file);
    strings::write(schedule, &mut track);
    track.end(end)?;
    if has_clicks {
        let mut track = Track::begin(&mut file);
        strings::write_clicks(schedule, &mut track);
        track.end(end)?;
    }
    Ok(file)
}

/// The tick nearest to `moment`; the later one of two.
pub fn ticks(moment: Moment) -> u64 {
    let (whole, rest) = moment.since_start().divide(TICK);
    u64::try_from(whole + i64::from(rest.times(2) >= TICK)).unwrap_or(0)
}

#[cfg(test)]
mod tests;
