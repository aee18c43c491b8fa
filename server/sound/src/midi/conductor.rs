//! The first track: what holds for all of them.

use lope_tune::{Duration, LabelKind, Moment, Tune};
use midly::num::u24;
use midly::{MetaMessage, TrackEventKind};

use super::{Happening, Rank, ticks};
use crate::key::signature;
use crate::swing::Lean;
use crate::time_line::joins_next;
use crate::{Schedule, Unwritable};

/// Title, rights, key, meters, tempos, parts, words and chords.
pub fn events<'t>(tune: &'t Tune, schedule: &Schedule) -> Result<Vec<Happening<'t>>, Unwritable> {
    let header = &tune.header;
    let mut track = vec![at(Moment::START, MetaMessage::TrackName(header.title.as_bytes()))];
    if let Some(rights) = &header.rights {
        track.push(at(Moment::START, MetaMessage::Copyright(rights.as_bytes())));
    }
    let (fifths, minor) = signature(&schedule.sounds);
    track.push(at(Moment::START, MetaMessage::KeySignature(fifths, minor)));
    for tempo in schedule.tempos() {
        let micros = u32::try_from(tempo.quarter_micros()).ok().and_then(u24::try_from);
        track.push(at(tempo.from, MetaMessage::Tempo(micros.ok_or(Unwritable::TooSlow)?)));
    }
    meters(tune, schedule, &mut track);
    parts(tune, schedule, &mut track);
    labels(tune, schedule, &mut track);
    Ok(track)
}

fn at(moment: Moment, what: MetaMessage<'_>) -> Happening<'_> {
    Happening { at: ticks(moment), rank: Rank::SetUp, what: TrackEventKind::Meta(what) }
}

/// A time signature wherever the bars of a program that reads the file would otherwise part from ours: a pickup
/// at the start has a short bar of its own, and so has any bar that is longer or shorter than its meter.
fn meters(tune: &Tune, schedule: &Schedule, track: &mut Vec<Happening<'_>>) {
    let mut last = None;
    let bars = &schedule.bars;
    let mut next = 0;
    while let Some(bar) = bars.get(next) {
        let meter = tune.frames[bar.played.frame as usize].meter;
        // A count-in before a pickup is part of its bar, and the bars of the count-in are whole.
        let counted = if next == 0 && schedule.start() > Moment::START { bar.lead } else { Duration::ZERO };
        let mut length = bar.played.length + counted;
        let start = if next == 0 { Moment::START } else { bar.played.start };
        while joins_next(bars, next) {
            next += 1;
            length += bars[next].played.length;
        }
        next += 1;
        let signature = in_units(length, meter.unit);
        let signs = if length == meter.bar() { Some((meter.beats, meter.unit)) } else { signature };
        let beat = meter.beat();
        let clocks = 96 * beat.numerator() / beat.denominator();
        let signs = signs.and_then(|(beats, unit)| Some((u8::try_from(beats).ok()?, unit.ilog2() as u8)));
        if let Some((beats, power)) = signs.filter(|signs| last != Some(*signs)) {
            let clocks = u8::try_from(clocks).unwrap_or(24);
            track.push(at(start, MetaMessage::TimeSignature(beats, power, clocks, 8)));
            last = Some((beats, power));
        }
    }
}

/// `length` as a time signature, over `unit` where that divides it.
fn in_units(length: Duration, unit: u32) -> Option<(u32, u32)> {
    let (count, rest) = length.divide(Duration::new(1, i64::from(unit)));
    if rest == Duration::ZERO {
        return Some((u32::try_from(count).ok()?, unit));
    }
    let unit = u32::try_from(length.denominator()).ok().filter(|unit| unit.is_power_of_two())?;
    Some((u32::try_from(length.numerator()).ok()?, unit))
}

/// The name of each part where it begins.
fn parts<'t>(tune: &'t Tune, schedule: &Schedule, track: &mut Vec<Happening<'t>>) {
    let passes = tune.passes();
    let mut last = None;
    for bar in &schedule.bars {
        let again = last.is_some_and(|(pass, place)| pass == bar.played.pass && place < bar.place);
        last = Some((bar.played.pass, bar.place));
        if let Some(pass) = passes.get(bar.played.pass as usize).filter(|_| !again) {
            let name = tune.sections[pass.part.index()].name.as_bytes();
            track.push(at(bar.played.start, MetaMessage::Marker(name)));
        }
    }
}

/// Words as lyrics and chord symbols as texts, where what they stand above is played.
fn labels<'t>(tune: &'t Tune, schedule: &Schedule, track: &mut Vec<Happening<'t>>) {
    let bars = &schedule.bars;
    for (place, bar) in bars.iter().enumerate() {
        let first = tune.labels.partition_point(|label| label.bar < bar.played.bar);
        let own = tune.labels[first..].iter().take_while(|label| label.bar == bar.played.bar);
        for label in own {
            let joins = (place > 0 && joins_next(bars, place - 1), joins_next(bars, place));
            let lean = Lean::of(&tune.frames[bar.played.frame as usize], bar, joins);
            let onset = bar.lead + label.onset.since_start();
            let played = lean.map_or(onset, |lean| lean.moment(onset));
            let text = label.text.as_bytes();
            let what = match label.kind {
                LabelKind::Words => MetaMessage::Lyric(text),
                LabelKind::Chord => MetaMessage::Text(text),
            };
            track.push(at(bar.played.start - bar.lead + played, what));
        }
    }
}
