//! What has to sound, and where the right hand is at that moment.

use lope_tune::{BarId, Duration, Frame, Melody, MelodyNote, Moment, Note, Pitch, Run, Stroke};

use crate::{LeftOut, Why};

/// A note that has to be sounded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Its place among the melody's notes.
    pub note: usize,
    /// Its bar.
    pub bar: BarId,
    /// When it begins, from the start of the bar's slots.
    pub onset: Moment,
    /// The melody's pitch.
    pub pitch: Pitch,
    /// What the hand does then.
    pub stroke: Stroke,
    /// Whether the hand fell on air before this rise, or has not fallen.
    pub air: bool,
    /// Whether there was silence just before it.
    pub rested: bool,
    /// The time since the note before it began.
    pub since: Duration,
    /// Whether it is a grace note.
    pub grace: bool,
    /// How it has to be played, where that is settled. Then that is what sounds, however the melody is moved.
    pub fixed: Option<Note>,
}

/// A melody's steps.
#[derive(Clone, Debug, Default)]
pub struct Steps {
    /// In the order of the text.
    pub steps: Vec<Step>,
    /// Triplets in the three-note gait.
    pub runs: Vec<Run>,
    /// Notes that no hand could play in time.
    pub left_out: Vec<LeftOut>,
}

impl Steps {
    /// The steps of `melody`, whose grace notes have been given what time there is for them.
    pub fn of(melody: &Melody) -> Self {
        let mut steps = Self::default();
        let mut clock = Clock::default();
        let mut notes = melody.notes.iter().enumerate().peekable();
        for (id, bar) in (0..).map(BarId).zip(&melody.tune.bars) {
            let mut in_bar = Vec::new();
            while let Some(note) = notes.next_if(|(_, note)| note.bar == id) {
                in_bar.push(note);
            }
            let hands = Hands { frame: melody.tune.frame(bar), bar: id, lead: bar.lead };
            let first_run = steps.runs.len();
            steps.runs.extend(hands.runs(&in_bar));
            for (at, note) in in_bar {
                steps.note(at, note, &hands, first_run, &mut clock);
            }
            clock.bar += bar.length;
        }
        steps
    }

    fn note(&mut self, at: usize, note: &MelodyNote, hands: &Hands, first_run: usize, clock: &mut Clock) {
        let MelodyNote { bar, onset, .. } = *note;
        let leave_out = |why| LeftOut { note: at, bar, onset, why };
        if note.length == Duration::ZERO {
            return self.left_out.push(leave_out(Why::Grace));
        }
        let now = clock.bar + onset.since_start();
        let run = self.runs[first_run..].iter().find(|run| is_in(run, onset));
        let (stroke, back) = hands.stroke(onset, run);
        let rested = clock.end.is_none_or(|end| end < now);
        clock.end = Some(now + note.length);
        if note.tied {
            return;
        }
        if stroke == Stroke::Between && hands.is_too_fine(onset) {
            return self.left_out.push(leave_out(Why::TooFine));
        }
        let fell = back.map(|back| now - back);
        self.steps.push(Step {
            note: at,
            bar,
            onset,
            pitch: note.pitch,
            stroke,
            air: fell.is_none_or(|fell| clock.last.is_none_or(|last| last < fell)),
            rested,
            since: clock.last.map_or(now.since_start(), |last| now - last),
            grace: note.grace,
            fixed: note.fixed,
        });
        // The hands have the time from the note before it to the one after it.
        if !note.grace {
            clock.last = Some(now);
        }
    }
}

/// Time from the start of the first bar, in the order of the text.
#[derive(Default)]
struct Clock {
    /// When the bar at hand begins.
    bar: Moment,
    /// When the last step began.
    last: Option<Moment>,
    /// When the last note ended.
    end: Option<Moment>,
}

/// The right hand in one bar.
struct Hands<'f> {
    frame: &'f Frame,
    bar: BarId,
    lead: Duration,
}

impl Hands<'_> {
    /// What the hand does at `onset`, and how long ago it fell, where it rises.
    fn stroke(&self, onset: Moment, run: Option<&Run>) -> (Stroke, Option<Duration>) {
        let gait = match run {
            Some(run) => lope_tune::Gait::three(run.slot),
            None => self.frame.gait,
        };
        let place = match run {
            Some(run) => Moment::START + (onset - run.start),
            None => onset + self.lead,
        };
        let (stroke, number) = gait.at(place);
        let back = (1..=u64::from(gait.strokes()))
            .find(|back| gait.stroke(number + u64::from(gait.strokes()) - back) == Stroke::Fall)
            .map(|back| gait.step().times(back as u32));
        (stroke, back.filter(|_| stroke == Stroke::Rise))
    }

    /// The triplets among `notes`: three in the time of two or of four strokes, where a beat begins. Their
    /// bar has to be in a straight gait.
    fn runs(&self, notes: &[(usize, &MelodyNote)]) -> Vec<Run> {
        let step = self.frame.gait.step();
        if self.frame.gait.strokes() != 2 {
            return Vec::new();
        }
        let mut runs: Vec<Run> = Vec::new();
        for (_, note) in notes.iter().filter(|(_, note)| !note.grace) {
            let place = note.onset + self.lead;
            let divides = |width: u32| place.since_start().is_multiple_of(step.times(width).share(3));
            let is_straight = place.since_start().is_multiple_of(step.share(8));
            let Some(width) = [2, 4].into_iter().find(|width| !is_straight && divides(*width)) else {
                continue;
            };
            let (number, _) = place.since_start().divide(step.times(width));
            let start = Moment::START + step.times(width).times(number as u32) - self.lead;
            let run = Run { bar: self.bar, start, slot: step.times(width).share(3), slots: 3 };
            let fits = |other: &&(usize, &MelodyNote)| {
                other.1.grace
                    || !is_in(&run, other.1.onset)
                    || (other.1.onset - run.start).is_multiple_of(run.slot)
            };
            if runs.last() != Some(&run) && start >= Moment::START && notes.iter().all(|other| fits(&other)) {
                runs.push(run);
            }
        }
        runs
    }

    /// Whether `onset`, between two strokes, divides the time from one to the next other than in halves.
    fn is_too_fine(&self, onset: Moment) -> bool {
        let (_, rest) = (onset + self.lead).since_start().divide(self.frame.gait.step());
        !rest.is_multiple_of(self.frame.gait.step().share(8))
    }
}

/// Whether `onset` is within `run`.
pub fn is_in(run: &Run, onset: Moment) -> bool {
    onset >= run.start && onset < run.start + run.slot.times(run.slots)
}
