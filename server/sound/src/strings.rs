//! What the strings do: each sounds, rings, and is stopped.

use lope_tune::{Duration, Event, EventKind, Frame, How, Moment, Note, NoteId, Pitch, Tune};

use crate::level::level;
use crate::midi::{TICK, ticks};
use crate::swing::Lean;
use crate::time_line::{TimeLine, joins_next};
use crate::{ScheduledBar, Sound};

/// How long a falling hand takes from one string of a brush to the next, in milliseconds at the written
/// tempo. From memory.
const SPREAD_MS: u32 = 12;

/// How long a choke takes to bend a note up, in milliseconds at the written tempo. From memory.
const CHOKE_MS: u32 = 150;

/// Everything that sounds, by onset. A string rings until it sounds anew, until a silence, or to the end.
pub fn ring(tune: &Tune, time_line: &TimeLine) -> Vec<Sound> {
    let mut score = Score { tune, sounds: Vec::new(), silences: Vec::new() };
    let mut joined = false;
    for (place, bar) in time_line.bars.iter().enumerate() {
        let joins = joins_next(&time_line.bars, place);
        score.bar(place, bar, (joined, joins));
        joined = joins;
    }
    let Score { mut sounds, silences, .. } = score;
    sounds.sort_by_key(|sound| sound.onset);
    stop(&mut sounds, &silences, time_line.end);
    sounds
}

struct Score<'t> {
    tune: &'t Tune,
    sounds: Vec<Sound>,
    silences: Vec<Moment>,
}

impl Score<'_> {
    fn bar(&mut self, place: usize, bar: &ScheduledBar, joins: (bool, bool)) {
        let tune = self.tune;
        let frame = &tune.frames[bar.played.frame as usize];
        let lean = Lean::of(frame, bar, joins);
        let count_one = bar.played.start - bar.lead;
        for event in tune.events_of(&tune.bars[bar.played.bar.index()]) {
            let run = event.run.and_then(|run| tune.runs.get(run as usize));
            let written = bar.lead + event.onset.since_start();
            let at = count_one + lean.as_ref().map_or(written, |lean| lean.onset(event, run, bar.lead));
            match event.kind {
                EventKind::Notes => {
                    let on_beat = written.is_multiple_of(frame.meter.beat());
                    self.notes(event, &Setting { place, frame, at, on_beat });
                }
                EventKind::Silence => self.silences.push(at),
                EventKind::Ring => {}
            }
        }
    }

    /// Sounds the notes of `event`. The hand falls from the fourth string to the first, so a brush is spread in
    /// that order; thumb and left hand are at work when it begins.
    fn notes(&mut self, event: &Event, setting: &Setting<'_>) {
        let notes = self.tune.notes_of(event);
        let struck = |note: &Note| note.how == How::Strike;
        let strings = notes.iter().filter(|note| struck(note)).count() as u32;
        let spread = match strings {
            0 | 1 => Duration::ZERO,
            _ => millis(setting.frame, SPREAD_MS).min(event.length.share(4 * strings)),
        };
        for (id, note) in (event.notes.start..).map(NoteId).zip(notes) {
            let header = &self.tune.header;
            let Some(pitch) = header.tuning.sounds(note.string, note.fret, header.capo) else { continue };
            let before =
                notes.iter().filter(|other| struck(note) && struck(other) && other.string > note.string);
            let onset = setting.at + spread.times(before.count() as u32);
            self.sounds.push(setting.sound(id, note, pitch, onset, notes.len() > 1));
        }
    }
}

/// Where an event stands.
struct Setting<'t> {
    place: usize,
    frame: &'t Frame,
    at: Moment,
    on_beat: bool,
}

impl Setting<'_> {
    fn sound(&self, id: NoteId, note: &Note, pitch: Pitch, onset: Moment, in_brush: bool) -> Sound {
        Sound {
            note: id,
            bar: self.place,
            onset,
            length: Duration::ZERO,
            pitch,
            string: note.string,
            fret: note.fret,
            how: note.how,
            level: level(note, self.on_beat, in_brush),
            from: None,
            choke: note.marks.choke.then(|| millis(self.frame, CHOKE_MS)),
            vibrato: note.marks.vibrato,
        }
    }
}

/// `count` milliseconds at the tempo of `frame`, as a part of a whole note: to the nearest tick, which is less than
/// anybody hears. With finer parts, all that follows would take many times as long to add up.
fn millis(frame: &Frame, count: u32) -> Duration {
    let exact = frame.meter.beat().times(count * frame.tempo).share(60_000);
    TICK.times(u32::try_from(ticks(Moment::START + exact)).unwrap_or(0))
}

/// Gives every sound its length. One that is stopped as it begins, as by a second note on its string at the
/// same moment, is not heard and goes.
fn stop(sounds: &mut Vec<Sound>, silences: &[Moment], end: Moment) {
    let mut ringing: [Option<usize>; 6] = [None; 6];
    let mut silences = silences.iter().copied().peekable();
    for at in 0..sounds.len() {
        let Sound { onset, string, how, .. } = sounds[at];
        while let Some(silence) = silences.next_if(|silence| *silence <= onset) {
            ringing
                .iter_mut()
                .filter_map(Option::take)
                .for_each(|before| until(&mut sounds[before], silence));
        }
        let before = ringing[usize::from(string)].replace(at);
        if let Some(before) = before {
            until(&mut sounds[before], onset);
            let slides = how == How::Slide;
            sounds[at].from = slides.then_some(sounds[before].pitch);
        }
    }
    let last = silences.next().unwrap_or(end);
    ringing.into_iter().flatten().for_each(|before| until(&mut sounds[before], last.min(end)));
    sounds.retain(|sound| sound.length.is_positive());
}

fn until(sound: &mut Sound, end: Moment) {
    sound.length = end - sound.onset;
    sound.choke = sound.choke.map(|rise| rise.min(sound.length.share(2)));
}
