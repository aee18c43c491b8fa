//! Ticks and bars.

use lope_tune::{
    Bar, BarContent, BarId, Duration, Frame, Gait, Header, Key, MelodyNote, Meter, Mode, Moment, Section,
    SectionKind, Tune,
};
use midly::{MetaMessage, Smf, TrackEventKind};

use super::grid::Placed;
use super::voices::{Voice, legible};
use crate::Remark;

/// A file's time.
pub struct Clock {
    /// The ticks of a quarter note.
    quarter: i64,
    /// The meters, and the ticks from which each holds; the first from the start.
    meters: Vec<(i64, Meter)>,
    /// Quarters a minute.
    tempo: Option<i64>,
    /// The key, where the file says one.
    pub key: Option<Key>,
}

/// A beat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beat {
    /// The tick at which it begins.
    pub start: i64,
    /// How many ticks it has.
    pub ticks: i64,
    /// When it begins.
    pub onset: Moment,
    /// How long it is.
    pub length: Duration,
    /// Whether it divides into thirds.
    pub is_compound: bool,
}

impl Clock {
    /// The time of `file`, as `voice` has it: of its own track where tracks are tunes of their own.
    pub fn of(file: &Smf<'_>, voice: &Voice, quarter: i64, remarks: &mut Vec<Remark>) -> Self {
        let apart = file.header.format == midly::Format::Sequential;
        let mut clock = Self { quarter, meters: Vec::new(), tempo: None, key: None };
        let mut tempos = 0;
        for track in file.tracks.iter().enumerate().filter(|(number, _)| !apart || *number == voice.track) {
            let mut now = 0_i64;
            for event in track.1 {
                now = now.saturating_add(i64::from(event.delta.as_int()));
                let TrackEventKind::Meta(message) = event.kind else { continue };
                match message {
                    MetaMessage::TimeSignature(beats, power, ..) => {
                        let unit = 1_u32.checked_shl(u32::from(power)).unwrap_or(0);
                        clock
                            .meters
                            .extend(Meter::parse(&format!("{beats}/{unit}")).map(|meter| (now, meter)));
                    }
                    MetaMessage::Tempo(micros) => {
                        let quarters =
                            (60_000_000 + i64::from(micros.as_int()) / 2) / i64::from(micros.as_int()).max(1);
                        tempos += usize::from(clock.tempo.is_some_and(|tempo| tempo != quarters));
                        clock.tempo = clock.tempo.or(Some(quarters));
                    }
                    MetaMessage::KeySignature(fifths, minor) => {
                        let mode = if minor { Mode::Aeolian } else { Mode::Ionian };
                        clock.key = clock.key.or(Some(Key::of_signature(fifths.clamp(-7, 7), mode)));
                    }
                    _ => {}
                }
            }
        }
        if tempos > 0 {
            remarks.push(Remark::of_all(format!(
                "{tempos} changes of tempo are left out; the first tempo holds"
            )));
        }
        clock.meters.sort_by_key(|(at, _)| *at);
        if clock.meters.first().is_none_or(|(at, _)| *at > 0) {
            if clock.meters.is_empty() {
                remarks.push(Remark::of_all("the file says no meter: 4/4 is taken"));
            }
            clock.meters.insert(0, (0, Meter::default()));
        }
        clock.settle(remarks);
        clock
    }

    /// Moves each change of meter to the bar line nearest before it.
    fn settle(&mut self, remarks: &mut Vec<Remark>) {
        for at in 1..self.meters.len() {
            let (before, meter) = self.meters[at - 1];
            let bar = self.ticks(meter.bar()).max(1);
            let over = (self.meters[at].0 - before) % bar;
            if over > 0 {
                self.meters[at].0 -= over;
                let text = "a change of meter in mid-bar is moved to the bar line before it";
                remarks.push(Remark::of_all(text));
            }
        }
        // Of two at one place the later holds.
        let meters = std::mem::take(&mut self.meters);
        for (at, meter) in meters {
            match self.meters.last_mut() {
                Some(last) if last.0 >= at => last.1 = meter,
                _ => self.meters.push((at, meter)),
            }
        }
    }

    /// The ticks of `length`, rounded down.
    const fn ticks(&self, length: Duration) -> i64 {
        (4 * self.quarter * length.numerator()) / length.denominator()
    }

    /// When the tick `at` comes.
    pub fn moment(&self, at: i64) -> Moment {
        Moment::START + Duration::new(at, 4 * self.quarter)
    }

    /// The meter at the tick `at`, and since which tick it holds.
    fn meter_at(&self, at: i64) -> (i64, Meter) {
        let holds = self.meters.iter().rev().find(|(from, _)| *from <= at.max(0));
        holds.copied().unwrap_or((0, Meter::default()))
    }

    /// The beat to which a note that begins at the tick `at` belongs: one a little early is meant for the next.
    pub fn beat_at(&self, at: i64) -> Beat {
        let (since, meter) = self.meter_at(at);
        // A slow unit is divided as quarters are.
        let length = if meter.is_compound() { meter.beat() } else { Duration::new(1, 4) };
        let ticks = self.ticks(length).max(1);
        let number = (at - since + ticks / 16).div_euclid(ticks);
        let start = since + number * ticks;
        Beat { start, ticks, onset: self.moment(start), length, is_compound: meter.is_compound() }
    }

    /// The slot of the meter at the tick `at`.
    pub fn slot_at(&self, at: i64) -> Duration {
        self.meter_at(at).1.slot()
    }

    /// The bars in which `notes` stand, without them: all one part. Silence before the first is left out, and
    /// where it fills a part of a bar, what is left is a pickup.
    pub fn tune(&self, file: &Smf<'_>, voice: &Voice, notes: &[Placed]) -> Tune {
        let named = file.tracks.first().and_then(|track| {
            track.iter().find_map(|event| match event.kind {
                TrackEventKind::Meta(MetaMessage::TrackName(text)) => legible(text),
                _ => None,
            })
        });
        let title = named.or_else(|| voice.name.clone()).unwrap_or_else(|| "Untitled".to_owned());
        let mut tune = Tune { header: Header { title, ..Header::default() }, ..Tune::default() };
        let (Some(first), Some(last)) = (notes.first(), notes.last()) else { return tune };
        let end = last.onset + last.length;
        let mut pickup = false;
        let mut start = Moment::START;
        while start < end {
            let (_, meter) = self.meter_at(self.ticks(start.since_start()));
            let next = start + meter.bar();
            if next > first.onset {
                let frame = self.frame(meter);
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
        }
        let bars = 0..tune.bars.len() as u32;
        tune.sections.push(Section {
            kind: SectionKind::Part { times: 1, pickup },
            name: "A".to_owned(),
            bars,
        });
        tune
    }

    fn frame(&self, meter: Meter) -> Frame {
        let (unit, beat) = (meter.slot(), meter.beat());
        let tempo = self.tempo.map_or(90, |quarters| {
            let beats = quarters * beat.denominator() / (4 * beat.numerator());
            beats.clamp(20, 400) as u32
        });
        Frame { meter, unit, gait: Gait::of(meter, unit), tempo, ..Frame::default() }
    }

    /// `notes` in the bars of `tune`: what goes over a bar line is tied.
    pub fn melody(&self, tune: &Tune, notes: &[Placed]) -> Vec<MelodyNote> {
        let mut melody = Vec::with_capacity(notes.len());
        let Some(first) = notes.first() else { return melody };
        let mut start = first.onset;
        let mut notes = notes.iter().copied().map(|note| (note, false)).peekable();
        let mut over: Option<(Placed, bool)> = None;
        for (number, bar) in (0..).zip(&tune.bars) {
            let end = start + bar.length;
            while let Some((note, tied)) = over.take().or_else(|| notes.next_if(|(note, _)| note.onset < end))
            {
                let stop = (note.onset + note.length).min(end);
                melody.push(MelodyNote {
                    bar: BarId(number),
                    onset: Moment::START + (note.onset - start),
                    length: stop - note.onset,
                    pitch: note.pitch,
                    tied,
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
}
