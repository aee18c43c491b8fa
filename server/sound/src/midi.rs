//! The schedule as a standard MIDI file (SMF 1.0, format 1).

mod conductor;
mod strings;

use std::io;

use lope_tune::{Moment, Tune};
use midly::num::{u15, u28};
use midly::{Format, Header, MetaMessage, Smf, Timing, Track, TrackEvent, TrackEventKind};

use crate::{Schedule, Unwritable};

/// The ticks of a quarter note. 10080 is a multiple of all the parts of it that music is made of: a 32nd of
/// it, thirds of thirds, a fifth and a seventh; and of 480, which many programs count in. Only what is finer,
/// and the spread of a brush, is rounded: to the nearest tick, less than 0.1 ms.
pub const QUARTER: u16 = 10_080;

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
    let mut tracks =
        vec![track(conductor::events(tune, schedule)?, end), track(strings::strings(schedule), end)];
    if !schedule.clicks.is_empty() {
        tracks.push(track(strings::clicks(schedule), end));
    }
    let header = Header::new(Format::Parallel, Timing::Metrical(u15::new(QUARTER)));
    let mut file = Vec::new();
    Smf { header, tracks }.write(&mut file).map_err(io::Error::other)?;
    Ok(file)
}

/// What happens at a tick; of what happens at the same one the lower rank comes first.
struct Happening<'t> {
    at: u64,
    rank: Rank,
    what: TrackEventKind<'t>,
}

/// A note ends before the next on its channel is bent and begins.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    SetUp,
    End,
    Bend,
    Begin,
}

/// The tick nearest to `moment`.
fn ticks(moment: Moment) -> u64 {
    const WHOLE: i128 = 4 * QUARTER as i128;
    let since = moment.since_start();
    let (count, of) = (i128::from(since.numerator()) * WHOLE, i128::from(since.denominator()));
    let nearest = match (i64::try_from(2 * count + of), i64::try_from(2 * of)) {
        // Nearly always, and many times faster.
        (Ok(twice), Ok(of)) => i128::from(twice.div_euclid(of)),
        _ => (2 * count + of).div_euclid(2 * of),
    };
    u64::try_from(nearest).unwrap_or(0)
}

/// `happenings` in their order, each with the ticks since the one before; the track ends at `end` or with the
/// last of them. Over a stretch that is longer than the form can say at once, empty texts stand as stepping stones.
fn track(mut happenings: Vec<Happening<'_>>, end: u64) -> Track<'_> {
    happenings.sort_by_key(|happening| (happening.at, happening.rank));
    let end = happenings.last().map_or(end, |last| end.max(last.at));
    let what = TrackEventKind::Meta(MetaMessage::EndOfTrack);
    happenings.push(Happening { at: end, rank: Rank::End, what });
    let mut track = Track::with_capacity(happenings.len());
    let mut now = 0;
    for happening in happenings {
        while happening.at - now > LONGEST {
            now += LONGEST;
            let kind = TrackEventKind::Meta(MetaMessage::Text(b""));
            track.push(TrackEvent { delta: u28::new(LONGEST as u32), kind });
        }
        track.push(TrackEvent { delta: u28::new((happening.at - now) as u32), kind: happening.what });
        now = happening.at;
    }
    track
}

/// The most ticks from one event to the next: a number of four bytes of seven bits.
const LONGEST: u64 = 0xFFF_FFFF;

#[cfg(test)]
mod tests;
