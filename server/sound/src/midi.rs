//! The schedule as a standard MIDI file (SMF 1.0, format 1).

mod conductor;
mod strings;

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
/// The first track has the title, the meters, the tempos, a guess at the key signature and the name of each
/// part as a marker. The second has the strings on channels 1 to 5, one each, so that a string bends and stops
/// for itself, as General MIDI's banjo (program 106, counted from 1). A third has the clicks, where there are
/// any, on General MIDI's drum channel.
///
/// # Errors
///
/// [`Unwritable::TooSlow`] and [`Unwritable::TooLong`], where the numbers of the format do not go so far.
pub fn midi(tune: &Tune, schedule: &Schedule) -> Result<Vec<u8>, Unwritable> {
    let end = ticks(schedule.end);
    let mut tracks =
        vec![track(conductor::events(tune, schedule)?, end)?, track(strings::strings(schedule), end)?];
    if !schedule.clicks.is_empty() {
        tracks.push(track(strings::clicks(schedule), end)?);
    }
    let header = Header::new(Format::Parallel, Timing::Metrical(u15::new(QUARTER)));
    let mut file = Vec::new();
    Smf { header, tracks }.write(&mut file).map_err(|_| TOO_LONG)?;
    Ok(file)
}

/// Nearly 2^28 ticks from one event to the next at the slowest tempo there is.
const TOO_LONG: Unwritable = Unwritable::TooLong { hours: 24 };

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
    let since = moment.since_start();
    let whole = 4 * u128::from(QUARTER);
    let (num, den) =
        (u128::from(since.numerator().max(0).unsigned_abs()), since.denominator().unsigned_abs());
    let den = u128::from(den);
    u64::try_from((num * whole + den / 2) / den).unwrap_or(u64::MAX)
}

/// `happenings` in their order, each with the ticks since the one before; the track ends at `end` or with the
/// last of them.
fn track(mut happenings: Vec<Happening<'_>>, end: u64) -> Result<Track<'_>, Unwritable> {
    happenings.sort_by_key(|happening| (happening.at, happening.rank));
    let end = happenings.last().map_or(end, |last| end.max(last.at));
    happenings.push(Happening {
        at: end,
        rank: Rank::End,
        what: TrackEventKind::Meta(MetaMessage::EndOfTrack),
    });
    let mut now = 0;
    let events = happenings.into_iter().map(|happening| {
        let delta = u32::try_from(happening.at - now).ok().and_then(u28::try_from).ok_or(TOO_LONG)?;
        now = happening.at;
        Ok(TrackEvent { delta, kind: happening.what })
    });
    events.collect()
}

#[cfg(test)]
mod tests;
