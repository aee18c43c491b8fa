//! The route through a melody as a tune, with drones and brushes.

use lope_tune::{
    Bar, BarId, Duration, Event, EventKind, Frame, Gait, How, Key, Label, LabelKind, Marks, Melody, Moment,
    Note, Pitch, Run, Stroke, Tune,
};

use crate::chord::{Chord, moved};
use crate::search::Route;
use crate::steps::{Steps, is_in};
use crate::ways::Way;
use crate::{Choice, Style, Wishes};

/// `melody` played by `route` in `choice`, where its key is `key`.
pub fn dress(
    melody: &Melody,
    steps: &Steps,
    route: &Route,
    choice: &Choice,
    key: Key,
    wishes: &Wishes,
) -> Tune {
    let mut tune =
        Tune { events: Vec::new(), notes: Vec::new(), runs: steps.runs.clone(), ..melody.tune.clone() };
    tune.header.tuning = choice.tuning;
    tune.header.capo = choice.capo;
    for label in tune.labels.iter_mut().filter(|label| label.kind == LabelKind::Chord) {
        label.text = moved(&label.text, choice.up);
    }
    let mut dresser =
        Dresser { choice, key, style: wishes.style, held: Vec::new(), fingered: 0, chord: None };
    let mut played = steps.steps.iter().zip(route.ways.iter().copied()).peekable();
    let mut notes = melody.notes.iter().enumerate().peekable();
    for (id, bar) in (0..).map(BarId).zip(&melody.tune.bars) {
        let mut pieces = Vec::new();
        while let Some((at, note)) = notes.next_if(|(_, note)| note.bar == id) {
            let way = played.next_if(|(step, _)| step.note == at).map(|(_, way)| way);
            let next = played.clone().map(|(_, way)| way).find(|way| *way != Way::LeaveOut);
            let leads_on = next.is_some_and(|way| rests_on_the_last(&way));
            if note.length > Duration::ZERO {
                let marks = note.fixed.map_or(Marks::default(), |note| note.marks);
                pieces.push(Piece { start: note.onset, end: note.onset + note.length, way, marks, leads_on });
            }
        }
        let events = dresser.bar(&tune, id, bar, pieces);
        let first = tune.events.len() as u32;
        for (mut event, notes) in events {
            let start = tune.notes.len() as u32;
            tune.notes.extend(notes);
            event.notes = start..tune.notes.len() as u32;
            tune.events.push(event);
        }
        tune.bars[id.index()].events = first..tune.events.len() as u32;
    }
    tune
}

/// A stretch of a bar in which the melody sounds.
struct Piece {
    start: Moment,
    end: Moment,
    /// What is done where it begins; nothing where what sounded goes on.
    way: Option<Way>,
    /// What was settled to be written after its fret.
    marks: Marks,
    /// Whether the note after it goes on from this one, so that no other may be struck between.
    leads_on: bool,
}

/// Whether `way` is a slur, which starts from the string last fingered, or a dropped thumb, which lands
/// beside the string last struck.
const fn rests_on_the_last(way: &Way) -> bool {
    match *way {
        Way::Play { string, how, .. } => how.is_slur() || matches!(how, How::Thumb) && string < 5,
        Way::LeaveOut => false,
    }
}

struct Dresser<'c> {
    choice: &'c Choice,
    key: Key,
    style: Style,
    /// The notes sounded last.
    held: Vec<Note>,
    /// The string last fingered, 0 for none.
    fingered: u8,
    /// The chord in force, where one is written.
    chord: Option<Chord>,
}

impl Dresser<'_> {
    /// The events of `bar` and their notes, which are numbered later.
    fn bar(&mut self, tune: &Tune, id: BarId, bar: &Bar, pieces: Vec<Piece>) -> Vec<(Event, Vec<Note>)> {
        let first_run = tune.runs.partition_point(|run| run.bar < id);
        let runs = &tune.runs[first_run..tune.runs.partition_point(|run| run.bar <= id)];
        let Frame { gait, unit, .. } = *tune.frame(bar);
        let hand = Hand { gait, lead: bar.lead, unit, runs, first_run: first_run as u32 };
        let is_chord = |label: &&Label| label.bar == id && label.kind == LabelKind::Chord;
        let labels: Vec<&Label> = tune.labels.iter().filter(is_chord).collect();
        let mut events: Vec<(Event, Vec<Note>)> = Vec::new();
        let mut now = Moment::START;
        let end = Moment::START + bar.length;
        for piece in pieces {
            if piece.start > now {
                self.held.clear();
                events.extend(hand.silence(now, piece.start));
            }
            let begin = match piece.way {
                Some(Way::Play { string, fret, how, .. }) => {
                    let note = Note { marks: piece.marks, ..self.note(string, fret, how) };
                    self.held = vec![note];
                    vec![hand.event(piece.start, piece.end, EventKind::Notes, vec![note])]
                }
                Some(Way::LeaveOut) | None if self.held.is_empty() => hand.silence(piece.start, piece.end),
                Some(Way::LeaveOut) | None => {
                    vec![hand.event(piece.start, piece.end, EventKind::Ring, Vec::new())]
                }
            };
            events.extend(begin);
            let symbols = labels.iter().filter(|label| label.onset <= piece.start);
            self.chord = symbols.rev().find_map(|label| Chord::parse(&label.text)).or(self.chord);
            for fill in self.fills(&hand, &piece) {
                cut(&mut events, fill.0, &hand, fill.1);
            }
            now = piece.end;
        }
        if now < end {
            self.held.clear();
            events.extend(hand.silence(now, end));
        }
        join(events, unit)
    }

    fn note(&mut self, string: u8, fret: u8, how: How) -> Note {
        let alternate = how.is_slur() && string != self.fingered;
        if string < 5 {
            self.fingered = string;
        }
        Note { string, fret, how, alternate, marks: Marks::default() }
    }

    /// What sounds at the strokes that `piece` leaves open.
    fn fills(&mut self, hand: &Hand<'_>, piece: &Piece) -> Vec<(Moment, Vec<Note>)> {
        let mut fills = Vec::new();
        if self.style == Style::Melodic || self.held.is_empty() {
            return fills;
        }
        // The thumb has to be planted by a fall that is the last thing to have sounded.
        let struck = |way: Option<Way>| matches!(way, Some(Way::Play { how: How::Strike, .. }));
        let mut planted = struck(piece.way);
        for (at, stroke, begins_group) in hand.strokes(piece) {
            match stroke {
                // Right before a slur the thumb would crowd the left hand.
                Stroke::Rise if piece.leads_on && at + hand.gait.step() > piece.end => {}
                Stroke::Rise if planted && self.drone_fits() => {
                    fills.push((at, vec![drone()]));
                    planted = false;
                }
                Stroke::Fall if self.style == Style::DroneRich && begins_group && !piece.leads_on => {
                    let brush = self.brush();
                    planted = !brush.is_empty();
                    if planted {
                        fills.push((at, brush));
                    }
                }
                _ => planted = false,
            }
        }
        fills
    }

    /// Whether the open drone goes with the key and with what sounds: no semitone beside it.
    fn drone_fits(&self) -> bool {
        let Some(drone) = self.choice.tuning.open(5, self.choice.capo) else { return false };
        self.key.has(drone)
            && self.pitches().all(|pitch| !matches!((pitch.0 + 12 - drone.0 % 12) % 12, 1 | 11))
    }

    fn pitches(&self) -> impl Iterator<Item = Pitch> + '_ {
        let Choice { tuning, capo, .. } = *self.choice;
        self.held.iter().filter_map(move |note| tuning.sounds(note.string, note.fret, capo))
    }

    /// Neighbouring long strings that fit the chord, the melody's as it is held and the others open: at least
    /// two, or none.
    fn brush(&mut self) -> Vec<Note> {
        let chord = self.chord.unwrap_or_else(|| Chord::of_key(self.key));
        let Choice { tuning, capo, .. } = *self.choice;
        let Some(melody) = self.held.first().copied().filter(|note| note.string < 5) else {
            return Vec::new();
        };
        let fits = |string: u8| {
            string == melody.string || tuning.open(string, capo).is_some_and(|pitch| chord.has(pitch))
        };
        let reach = |strings: &mut dyn Iterator<Item = u8>| strings.take_while(|string| fits(*string)).last();
        let low = reach(&mut (melody.string..=4)).unwrap_or(melody.string);
        let high = reach(&mut (1..=melody.string).rev()).unwrap_or(melody.string);
        if low == high {
            return Vec::new();
        }
        let strings = (high..=low).rev();
        let fret = |string: u8| if string == melody.string { melody.fret } else { 0 };
        let brush: Vec<Note> = strings.map(|string| self.note(string, fret(string), How::Strike)).collect();
        self.held.clone_from(&brush);
        brush
    }
}

/// The thumb on the open drone.
const fn drone() -> Note {
    let marks = Marks { accent: false, vibrato: false, choke: false, finger: None };
    Note { string: 5, fret: 0, how: How::Thumb, alternate: false, marks }
}

/// The right hand in a bar.
struct Hand<'r> {
    gait: Gait,
    lead: Duration,
    /// The length of a slot.
    unit: Duration,
    runs: &'r [Run],
    /// The place of the first of them in [`Tune::runs`].
    first_run: u32,
}

impl Hand<'_> {
    fn event(&self, start: Moment, end: Moment, kind: EventKind, notes: Vec<Note>) -> (Event, Vec<Note>) {
        let run = (self.first_run..).zip(self.runs).find(|(_, run)| is_in(run, start)).map(|(at, _)| at);
        let event = Event { onset: start, length: end - start, kind, notes: 0..0, run };
        (event, notes)
    }

    /// Silence from `start` to `end`, which is written slot by slot.
    fn silence(&self, start: Moment, end: Moment) -> Vec<(Event, Vec<Note>)> {
        let mut events = Vec::new();
        let mut now = start;
        while now < end {
            let (slots, _) = now.since_start().divide(self.unit);
            let next = (Moment::START + self.unit.times(slots as u32 + 1)).min(end);
            events.push(self.event(now, next, EventKind::Silence, Vec::new()));
            now = next;
        }
        events
    }

    /// The strokes within `piece` after its beginning and outside runs: when, which, and whether a group
    /// begins there.
    fn strokes(&self, piece: &Piece) -> Vec<(Moment, Stroke, bool)> {
        let step = self.gait.step();
        let (first, rest) = (piece.start + self.lead).since_start().divide(step);
        let mut at = piece.start - rest;
        let mut number = first.unsigned_abs();
        let mut strokes = Vec::new();
        while at < piece.end {
            let is_in_run = self.runs.iter().any(|run| is_in(run, at));
            if at > piece.start && !is_in_run {
                let begins =
                    self.gait.stroke(number) == Stroke::Fall && self.gait.stroke(number + 1) == Stroke::Rise;
                strokes.push((at, self.gait.stroke(number), begins));
            }
            at += step;
            number += 1;
        }
        strokes
    }
}

/// Sounds `notes` at `at`, within the last of `events`.
fn cut(events: &mut Vec<(Event, Vec<Note>)>, at: Moment, hand: &Hand<'_>, notes: Vec<Note>) {
    let Some((last, _)) = events.last_mut() else { return };
    let end = last.onset + last.length;
    last.length = at - last.onset;
    events.push(hand.event(at, end, EventKind::Notes, notes));
}

/// What only goes on from the event before it in the bar, made one with it; a silence within its slot of
/// `unit`.
fn join(events: Vec<(Event, Vec<Note>)>, unit: Duration) -> Vec<(Event, Vec<Note>)> {
    let mut joined: Vec<(Event, Vec<Note>)> = Vec::new();
    for (event, notes) in events {
        match joined.last_mut() {
            Some((last, _)) if event.kind == EventKind::Ring && last.kind != EventKind::Silence => {
                last.length += event.length;
            }
            Some((last, _))
                if [event.kind, last.kind] == [EventKind::Silence; 2]
                    && !event.onset.since_start().is_multiple_of(unit) =>
            {
                last.length += event.length;
            }
            _ => joined.push((event, notes)),
        }
    }
    joined
}
