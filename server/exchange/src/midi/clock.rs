//! Ticks as time: meters, beats, tempo and key.

use lope_tune::{Duration, Key, Meter, Mode, Moment};
use midly::{MetaMessage, TrackEventKind};

use super::file::File;
use super::voices::Voice;
use crate::Remark;
use crate::remark::counted;

/// A file's time.
pub struct Clock {
    /// The ticks of a quarter note.
    quarter: i64,
    /// The meters, and the ticks from which each holds. The first holds from the start, or from before it where the
    /// file begins with a pickup.
    meters: Vec<(i64, Meter)>,
    /// Quarters a minute.
    pub tempo: i64,
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

/// The tempo of a file that says none, in quarters a minute (RP-001, "Set Tempo").
const TEMPO: i64 = 120;

impl Clock {
    /// The time of `file`, as `voice` has it: of its own track where tracks are tunes of their own.
    pub fn of(file: &File<'_>, voice: &Voice, remarks: &mut Vec<Remark>) -> Self {
        let (mut meters, mut tempos, mut keys) = (Vec::new(), vec![(0, TEMPO)], Vec::new());
        let tracks = file.tracks.iter().enumerate();
        for (_, track) in tracks.filter(|(number, _)| !file.is_apart || *number == voice.track) {
            for (now, event) in track {
                let TrackEventKind::Meta(message) = event else { continue };
                match *message {
                    MetaMessage::TimeSignature(beats, power, ..) => {
                        let unit = 1_u32.checked_shl(u32::from(power)).unwrap_or(0);
                        match Meter::parse(&format!("{beats}/{unit}")) {
                            Some(meter) => meters.push((*now, meter)),
                            None => remarks.push(Remark::of_all(format!(
                                "the meter {beats}/{unit} is not understood, and the one before goes on"
                            ))),
                        }
                    }
                    MetaMessage::Tempo(micros) => {
                        let micros = i64::from(micros.as_int()).max(1);
                        tempos.push((*now, (60_000_000 + micros / 2) / micros));
                    }
                    MetaMessage::KeySignature(fifths, minor) => {
                        let mode = if minor { Mode::Aeolian } else { Mode::Ionian };
                        keys.push((*now, Key::of_signature(fifths.clamp(-7, 7), mode)));
                    }
                    _ => {}
                }
            }
        }
        let first = voice.notes.first().map_or(0, |note| note.start);
        let tempo = one_of(tempos, first, "tempo", remarks).unwrap_or(TEMPO);
        let key = one_of(keys, first, "key", remarks);
        if meters.is_empty() {
            remarks.push(Remark::of_all("the file says no meter: 4/4 is taken"));
        }
        let mut clock = Self { quarter: file.quarter, meters: settled(meters), tempo, key };
        clock.settle(remarks);
        clock
    }

    /// Moves each change of meter to the nearest bar line, and makes of a first bar with a shorter meter of its own a
    /// pickup.
    fn settle(&mut self, remarks: &mut Vec<Remark>) {
        let mut moved = 0;
        for at in 1..self.meters.len() {
            let (before, meter) = self.meters[at - 1];
            let bar = self.ticks(meter.bar()).max(1);
            let since = (self.meters[at].0 - before).max(0);
            let bars = (2 * since + bar) / (2 * bar);
            moved += usize::from(since != bars * bar);
            self.meters[at].0 = before + bars * bar;
        }
        if moved > 0 {
            let text =
                format!("{} of meter in mid-bar moved to the nearest bar line", counted(moved, "change"));
            remarks.push(Remark::of_all(text));
        }
        self.meters = settled(std::mem::take(&mut self.meters));
        if let [(_, short), (second, full), ..] = self.meters[..]
            && short.bar() < full.bar()
            && second == self.ticks(short.bar())
        {
            self.meters.remove(0);
            self.meters[0].0 = second - self.ticks(full.bar());
        }
    }

    /// The ticks of `length`, rounded towards none.
    pub const fn ticks(&self, length: Duration) -> i64 {
        (4 * self.quarter * length.numerator()) / length.denominator()
    }

    /// When the tick `at` comes.
    pub fn moment(&self, at: i64) -> Moment {
        Moment::START + Duration::new(at, 4 * self.quarter)
    }

    /// When the first bar begins: before the file does where that begins with a pickup.
    pub fn start(&self) -> Moment {
        self.moment(self.meters.first().map_or(0, |(from, _)| *from))
    }

    /// The meter at the tick `at`, and since which tick it holds.
    pub fn meter_at(&self, at: i64) -> (i64, Meter) {
        let holds = self.meters.partition_point(|(from, _)| *from <= at).saturating_sub(1);
        self.meters.get(holds).copied().unwrap_or_default()
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
}

/// `meters` in their order, from the start on: 4/4 until the first. Of two in one place the later holds, and one that is
/// said again changes nothing.
fn settled(mut meters: Vec<(i64, Meter)>) -> Vec<(i64, Meter)> {
    meters.sort_by_key(|(at, _)| *at);
    let mut settled = vec![(0, Meter::default())];
    for (at, meter) in meters {
        match settled.last_mut() {
            Some(last) if last.0 >= at => last.1 = meter,
            Some(last) if last.1 == meter => {}
            _ => settled.push((at, meter)),
        }
    }
    settled
}

/// The one of `told`, each with its tick, that holds at the tick `first`, or the first after it; says of how many
/// changes of `what` after it nothing is read.
fn one_of<T: PartialEq + Copy>(
    mut told: Vec<(i64, T)>,
    first: i64,
    what: &str,
    remarks: &mut Vec<Remark>,
) -> Option<T> {
    told.sort_by_key(|(at, _)| *at);
    let holds = told.partition_point(|(at, _)| *at <= first).saturating_sub(1);
    let (_, held) = *told.get(holds)?;
    let changes = told[holds..].windows(2).filter(|two| two[0].1 != two[1].1).count();
    if changes > 0 {
        remarks.push(Remark::of_all(format!(
            "{} of {what} left out: the {what} of the first note holds",
            counted(changes, "change")
        )));
    }
    Some(held)
}
