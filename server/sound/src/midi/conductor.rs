//! The first track: what holds for all of them.

use std::borrow::Cow;

use lope_tune::{Duration, LabelKind, Moment, Tune};

use super::ticks;
use super::track::{Meta, Track};
use crate::key::signature;
use crate::swing::Lean;
use crate::time_line::joins_next;
use crate::{Schedule, Unwritable};

/// What is told at a tick.
struct Told<'t> {
    at: u64,
    kind: Meta,
    bytes: Cow<'t, [u8]>,
}

/// Writes title, rights, key, meters, tempos, parts, words and chords.
pub fn write(tune: &Tune, schedule: &Schedule, track: &mut Track<'_>) -> Result<(), Unwritable> {
    let mut all = events(tune, schedule)?;
    all.sort_by_key(|told| told.at);
    for Told { at, kind, bytes } in all {
        track.meta(at, kind, &bytes);
    }
    Ok(())
}

fn events<'t>(tune: &'t Tune, schedule: &Schedule) -> Result<Vec<Told<'t>>, Unwritable> {
    let header = &tune.header;
    let mut all = vec![text(Moment::START, Meta::Name, &header.title)];
    if let Some(rights) = &header.rights {
        all.push(text(Moment::START, Meta::Copyright, rights));
    }
    let (fifths, minor) = signature(&schedule.sounds);
    all.push(numbers(Moment::START, Meta::KeySignature, &[fifths.cast_unsigned(), u8::from(minor)]));
    for tempo in schedule.tempos() {
        let micros = u32::try_from(tempo.quarter_micros()).map_err(|_| Unwritable::TooSlow)?;
        let [0, micros @ ..] = micros.to_be_bytes() else { return Err(Unwritable::TooSlow) };
        all.push(numbers(tempo.from, Meta::Tempo, &micros));
    }
    meters(tune, schedule, &mut all);
    parts(tune, schedule, &mut all);
    labels(tune, schedule, &mut all);
    Ok(all)
}

fn text(moment: Moment, kind: Meta, text: &str) -> Told<'_> {
    Told { at: ticks(moment), kind, bytes: Cow::Borrowed(text.as_bytes()) }
}

fn numbers(moment: Moment, kind: Meta, numbers: &[u8]) -> Told<'static> {
    Told { at: ticks(moment), kind, bytes: Cow::Owned(numbers.to_vec()) }
}

/// A time signature wherever the bars of a program that reads the file would otherwise part from ours: a pickup
/// at the start has a short bar of its own, and so has any bar that is longer or shorter than its meter.
fn meters(tune: &Tune, schedule: &Schedule, all: &mut Vec<Told<'_>>) {
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
            all.push(numbers(start, Meta::TimeSignature, &[beats, power, clocks, 8]));
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
fn parts<'t>(tune: &'t Tune, schedule: &Schedule, all: &mut Vec<Told<'t>>) {
    let passes = tune.passes();
    let mut last = None;
    for bar in &schedule.bars {
        let again = last.is_some_and(|(pass, place)| pass == bar.played.pass && place < bar.place);
        last = Some((bar.played.pass, bar.place));
        if let Some(pass) = passes.get(bar.played.pass as usize).filter(|_| !again) {
            all.push(text(bar.played.start, Meta::Marker, &tune.sections[pass.part.index()].name));
        }
    }
}

/// Words as lyrics and chord symbols as texts, where what they stand above is played.
fn labels<'t>(tune: &'t Tune, schedule: &Schedule, all: &mut Vec<Told<'t>>) {
    let bars = &schedule.bars;
    for (place, bar) in bars.iter().enumerate() {
        let first = tune.labels.partition_point(|label| label.bar < bar.played.bar);
        let own = tune.labels[first..].iter().take_while(|label| label.bar == bar.played.bar);
        for label in own {
            let joins = (place > 0 && joins_next(bars, place - 1), joins_next(bars, place));
            let lean = Lean::of(&tune.frames[bar.played.frame as usize], bar, joins);
            let onset = bar.lead + label.onset.since_start();
            let played = lean.map_or(onset, |lean| lean.moment(onset));
            let kind = match label.kind {
                LabelKind::Words => Meta::Lyric,
                LabelKind::Chord => Meta::Text,
            };
            all.push(text(bar.played.start - bar.lead + played, kind, &label.text));
        }
    }
}
