//! A file's chunks, and the events of its tracks.

use midly::{EventIter, Format, MetaMessage, Timing, TrackEvent, TrackEventKind};

use crate::remark::counted;
use crate::{ReadError, Remark};

/// A standard MIDI file whose time is counted in beats.
pub struct File<'b> {
    /// Whether each track is a tune of its own, and not one voice among others.
    pub is_apart: bool,
    /// The ticks of a quarter note.
    pub quarter: i64,
    /// The events of each track.
    pub tracks: Vec<Vec<Event<'b>>>,
}

/// When something comes, in ticks, and what.
pub type Event<'b> = (i64, TrackEventKind<'b>);

/// The most events that are read: a tune has some thousands. It keeps files made to fill the memory from doing so.
const MOST_EVENTS: usize = 1_000_000;

impl<'b> File<'b> {
    /// The file in `bytes`.
    ///
    /// # Errors
    /// When it is no standard MIDI file, is cut short or damaged, holds more than a tune, or counts time in seconds.
    pub fn read(bytes: &'b [u8], remarks: &mut Vec<Remark>) -> Result<Self, ReadError> {
        if !bytes.starts_with(b"MThd") {
            return Err(refused("this is no standard MIDI file: it does not begin as one"));
        }
        let (chunks, mut beyond) = tracks(bytes)?;
        let (header, _) = midly::parse(bytes).map_err(|error| {
            refused(format!("this is no standard MIDI file that can be read ({error}): save it again"))
        })?;
        let Timing::Metrical(quarter) = header.timing else {
            return Err(refused(
                "it counts time in seconds and not in beats: save it with ticks to a quarter note",
            ));
        };
        let quarter = i64::from(quarter.as_int());
        if quarter == 0 {
            return Err(refused("it divides a quarter note into no ticks at all: save it again"));
        }
        let is_apart = header.format == Format::Sequential;
        let mut file = Self { is_apart, quarter, tracks: Vec::with_capacity(chunks.len()) };
        let (mut left, mut open) = (MOST_EVENTS, 0);
        for (number, chunk) in (1..).zip(chunks) {
            let (events, end) = events(chunk, number, left)?;
            left -= events.len();
            open += usize::from(end.is_none());
            beyond += end.map_or(0, |end| chunk.len() - end);
            file.tracks.push(events);
        }
        if beyond > 0 {
            remarks.push(Remark::of_all(format!(
                "{} after the end of a track left out",
                counted(beyond, "byte")
            )));
        }
        if open > 0 {
            let text = format!("{} without an end, read to the last event", counted(open, "track"));
            remarks.push(Remark::of_all(text));
        }
        Ok(file)
    }
}

/// What the chunk of each track holds, and how many bytes come after the last. Chunks of other kinds are passed over, as
/// the standard asks.
fn tracks(bytes: &[u8]) -> Result<(Vec<&[u8]>, usize), ReadError> {
    let count = bytes.get(10..12).map_or(0, |count| usize::from(u16::from_be_bytes([count[0], count[1]])));
    let mut tracks = Vec::new();
    let mut rest = bytes;
    loop {
        let is_track = rest.starts_with(b"MTrk");
        if tracks.len() >= count && rest.len() < bytes.len() && !is_track {
            break;
        }
        let (chunk, after) =
            chunk(rest).ok_or_else(|| refused("the file is cut short: copy or save it again"))?;
        if is_track {
            tracks.push(chunk);
        }
        rest = after;
    }
    Ok((tracks, rest.len()))
}

/// What the first chunk of `bytes` holds, and what comes after it; none where it is not all there.
fn chunk(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let (head, rest) = bytes.split_first_chunk::<8>()?;
    let length = u32::from_be_bytes([head[4], head[5], head[6], head[7]]);
    rest.split_at_checked(usize::try_from(length).ok()?)
}

/// The events of the track `number`, `most` of them, that `chunk` holds; and after how many bytes it says that it ends.
fn events(chunk: &[u8], number: usize, most: usize) -> Result<(Vec<Event<'_>>, Option<usize>), ReadError> {
    let mut events = Vec::new();
    let mut iter = EventIter::new(chunk);
    let mut now = 0_i64;
    loop {
        let (left, status) = (iter.unread().len(), iter.running_status());
        let Some(Ok(TrackEvent { delta, kind })) = iter.next() else {
            if left == 0 {
                return Ok((events, None));
            }
            let (at, all) = (chunk.len() - left, chunk.len());
            return Err(refused(format!(
                "track {number} is damaged: what comes after {at} of its {all} bytes is no event: copy or save the file again"
            )));
        };
        // What is no note ends the status that goes on (RP-001), yet there are files in which it goes on after that.
        if iter.running_status().is_none() {
            *iter.running_status_mut() = status;
        }
        if events.len() == most {
            return Err(refused(format!(
                "there are more than {MOST_EVENTS} events in it, and a tune has some thousands: save the tune alone"
            )));
        }
        now = now.saturating_add(i64::from(delta.as_int()));
        events.push((now, kind));
        if kind == TrackEventKind::Meta(MetaMessage::EndOfTrack) {
            return Ok((events, Some(chunk.len() - iter.unread().len())));
        }
    }
}

/// A file that is not read, and why.
pub fn refused(text: impl Into<String>) -> ReadError {
    ReadError { line: None, text: text.into() }
}
