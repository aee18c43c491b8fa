//! Notes on the grid, in bars.

use lope_tune::{
    Bar, BarContent, BarId, Duration, Frame, Gait, MelodyNote, Meter, Moment, Section, SectionKind, Tune,
};

use super::clock::Clock;
use super::file::refused;
use super::grid::Placed;
use crate::ReadError;

/// The most bars that are read, from the start of the file: a guard against files that are silent nearly for ever.
const MOST_BARS: usize = 10_000;

/// The bars in which `notes` stand, without them: all one part. Silence before the first is left out, and where it
/// fills a part of a bar, what is left is a pickup.
///
/// # Errors
/// When there are far too many.
pub fn bars(clock: &Clock, notes: &[Placed]) -> Result<Tune, ReadError> {
    let mut tune = Tune::default();
    let (Some(first), Some(last)) = (notes.first(), notes.last()) else { return Ok(tune) };
    let end = last.onset + last.length;
    let mut start = clock.start();
    let (mut pickup, mut passed) = (false, 0);
    while start < end {
        let (_, meter) = clock.meter_at(clock.ticks(start.since_start()));
        let next = start + meter.bar();
        if next > first.onset {
            let frame = frame(clock, meter);
            if tune.frames.last() != Some(&frame) {
                tune.frames.push(frame);
            }
            let lead = if tune.bars.is_empty() { first.onset.max(start) - start } else { Duration::ZERO };
            pickup |= lead.is_positive();
            tune.bars.push(Bar {
                frame: tune.frames.len() as u32 - 1,
                content: BarContent::Slots,
                events: 0..0,
                length: meter.bar() - lead,
                lead,
            });
        }
        start = next;
        passed += 1;
        if passed > MOST_BARS {
            return Err(refused(format!(
                "it goes on for more than {MOST_BARS} bars, and a tune has some dozens: save the tune alone"
            )));
        }
    }
    let bars = 0..tune.bars.len() as u32;
    let kind = SectionKind::Part { times: 1, pickup };
    tune.sections.push(Section { kind, name: "A".to_owned(), bars });
    Ok(tune)
}

fn frame(clock: &Clock, meter: Meter) -> Frame {
    let (unit, beat) = (meter.slot(), meter.beat());
    let beats = clock.tempo * beat.denominator() / (4 * beat.numerator());
    Frame { meter, unit, gait: Gait::of(meter, unit), tempo: beats.clamp(20, 400) as u32, ..Frame::default() }
}

/// `notes` in the bars of `tune`: what goes over a bar line is tied.
pub fn in_bars(tune: &Tune, notes: &[Placed]) -> Vec<MelodyNote> {
    let mut melody = Vec::with_capacity(notes.len());
    let Some(first) = notes.first() else { return melody };
    let mut start = first.onset;
    let mut notes = notes.iter().copied().map(|note| (note, false)).peekable();
    let mut over: Option<(Placed, bool)> = None;
    for (number, bar) in (0..).zip(&tune.bars) {
        let end = start + bar.length;
        while let Some((note, tied)) = over.take().or_else(|| notes.next_if(|(note, _)| note.onset < end)) {
            let stop = (note.onset + note.length).min(end);
            melody.push(MelodyNote {
                bar: BarId(number),
                onset: Moment::START + (note.onset - start),
                length: stop - note.onset,
                pitch: note.pitch,
                tied,
                grace: false,
                fixed: None,
            });
            if note.onset + note.length > end {
                let length = note.onset + note.length - end;
                over = Some((Placed { onset: end, length, ..note }, true));
                break;
            }
        }
        start = end;
    }
    melody
}
