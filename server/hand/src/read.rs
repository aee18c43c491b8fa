use lope_tune::{
    Bar, BarId, Duration, Event, EventId, EventKind, How, Meeting, Moment, Note, NoteId, Stroke, Tune,
};

use crate::pace::Pace;
use crate::{Fell, Hand, Motion, Plant, Slur, Stray, Strings, Thumb, Unstruck, runs};

/// What both hands do in `tune`.
pub fn read(tune: &Tune) -> Hand {
    let mut reader = Reader::new(tune);
    let meetings = tune.meetings();
    for meeting in &meetings {
        reader.bar(*meeting);
    }
    let mut hand = reader.hand;
    // Phrases are met where they are called and written elsewhere; lists that are in order stay as they are.
    hand.unstruck.sort_by_key(|unstruck| unstruck.note);
    hand.strays.sort_by_key(|stray| stray.note);
    hand.thumbs.sort_by_key(|thumb| thumb.note);
    hand.slurs.sort_by_key(|slur| slur.note);
    Hand { meetings, ..hand }
}

struct Reader<'t> {
    tune: &'t Tune,
    hand: Hand,
    /// For each frame.
    paces: Vec<Pace>,
    /// What each bar leaves to the one that follows it.
    wakes: Vec<Wake>,
}

/// What the music before a moment leaves to it.
#[derive(Clone, Copy)]
struct Wake {
    /// The fret that sounds on each string, [`SILENT`] for none; strings 1 to 5 have their own number.
    sounding: [u8; 6],
    /// The last fall of the hand.
    plant: Option<Plant>,
    /// Whether the gait falls between the end of the bar's slots and the end of its time.
    falls_after: bool,
}

/// Stands for the fret on a string that does not sound.
const SILENT: u8 = u8::MAX;

impl Wake {
    const START: Self = Self { sounding: [SILENT; 6], plant: None, falls_after: false };

    /// The hand falls on air.
    const fn air(&mut self) {
        self.plant = Some(Plant { back: 0, struck: Strings::NONE, strike: None, same_bar: true });
    }

    /// The hand strikes `strings` in `event`.
    const fn strike(&mut self, strings: Strings, event: EventId) {
        self.plant = Some(Plant { back: 1, struck: strings, strike: Some(event), same_bar: true });
    }

    /// Something sounds that the hand does not strike.
    const fn pass(&mut self) {
        if let Some(plant) = &mut self.plant {
            plant.back = plant.back.saturating_add(1);
        }
    }

    fn sounds(&self, string: u8) -> Option<u8> {
        let string = if string == 0 { SILENT } else { string };
        self.sounding.get(usize::from(string)).copied().filter(|fret| *fret != SILENT)
    }

    const fn sound(&mut self, string: u8, fret: u8) {
        if matches!(string, 1..=5) {
            self.sounding[string as usize] = if fret == SILENT { SILENT - 1 } else { fret };
        }
    }
}

impl<'t> Reader<'t> {
    fn new(tune: &'t Tune) -> Self {
        let hand = Hand {
            motions: vec![Motion::default(); tune.events.len()],
            thumbs: Vec::with_capacity(tune.notes.len() / 4),
            slurs: Vec::with_capacity(tune.notes.len() / 8),
            ..Hand::default()
        };
        let paces = tune.frames.iter().map(Pace::new).collect();
        Self { tune, hand, paces, wakes: vec![Wake::START; tune.bars.len()] }
    }

    fn bar(&mut self, Meeting { bar: id, before }: Meeting) {
        let tune = self.tune;
        let bar = &tune.bars[id.index()];
        let pace = self.paces[bar.frame as usize];
        let first = pace.begun_before(bar.lead);
        let mut wake = self.wake_before(before, bar.lead, &pace, first);
        let runs = if tune.runs.is_empty() { &[] } else { runs::of_bar(tune, id) };
        if runs.is_empty() {
            self.plain_bar(bar, &pace, first, &mut wake);
        } else {
            self.bar_with_runs(bar, &runs::falls(bar, &pace, runs), &pace, &mut wake);
        }
        let (_, rest) = (bar.lead + bar.length).divide(tune.frame(bar).gait.step());
        self.hand.uneven |= rest != Duration::ZERO;
        let begun = pace.begun_before(bar.lead + bar.length);
        wake.falls_after = pace.falls_in(begun..pace.bar);
        self.wakes[id.index()] = wake;
    }

    /// What comes to a bar from the bar `before` it. A pickup takes up the hand where the bar before it,
    /// short by as much, left it; with none before, the hand gets going in the air.
    fn wake_before(&self, before: Option<BarId>, lead: Duration, pace: &Pace, first: u64) -> Wake {
        let mut wake = before.map_or(Wake::START, |bar| self.wakes[bar.index()]);
        let is_pickup = lead != Duration::ZERO;
        if wake.falls_after && !is_pickup || before.is_none() && pace.falls_in(0..first) {
            wake.air();
        }
        if let Some(plant) = &mut wake.plant {
            plant.same_bar &= is_pickup;
        }
        wake
    }

    /// A bar in which every stroke is the gait's own; its first is numbered `first`.
    fn plain_bar(&mut self, bar: &Bar, pace: &Pace, first: u64, wake: &mut Wake) {
        let mut next = first;
        for (id, event) in events(self.tune, bar) {
            let onset = event.onset.since_start();
            let onset = if bar.lead == Duration::ZERO { onset } else { bar.lead + onset };
            let (stroke, number) = pace.at(onset);
            let before = number + u64::from(stroke == Stroke::Between);
            if pace.falls_in(next..before) {
                wake.air();
            }
            next = number + 1;
            self.event(id, event, (stroke, number), wake);
        }
        if pace.falls_in(next..pace.begun_before(bar.lead + bar.length)) {
            wake.air();
        }
    }

    /// A bar with runs, whose `falls` are those of the runs and its own, from the start of its slots.
    fn bar_with_runs(&mut self, bar: &Bar, mut falls: &[Moment], pace: &Pace, wake: &mut Wake) {
        let mut past = |until: Moment| {
            let count = falls.partition_point(|fall| *fall < until);
            let (before, after) = falls.split_at(count);
            falls = if after.first() == Some(&until) { &after[1..] } else { after };
            !before.is_empty()
        };
        for (id, event) in events(self.tune, bar) {
            if past(event.onset) {
                wake.air();
            }
            let run = event.run.and_then(|run| self.tune.runs.get(run as usize));
            let at = run.map_or_else(
                || pace.at(bar.lead + event.onset.since_start()),
                |run| runs::stroke_at(run, event.onset),
            );
            self.event(id, event, at, wake);
        }
        if past(Moment::START + bar.length) {
            wake.air();
        }
    }

    /// An event on, or between, strokes of the gait.
    fn event(&mut self, id: EventId, event: &Event, at: (Stroke, u64), wake: &mut Wake) {
        let (stroke, number) = at;
        let fell = match event.kind {
            EventKind::Notes => self.notes(id, event, stroke, wake),
            EventKind::Silence | EventKind::Ring => {
                if event.kind == EventKind::Silence {
                    wake.sounding = [SILENT; 6];
                }
                if stroke == Stroke::Fall {
                    wake.air();
                    Fell::Air
                } else {
                    Fell::Not
                }
            }
        };
        let number = u32::try_from(number).unwrap_or(u32::MAX);
        self.hand.motions[id.index()] = Motion { number, stroke, fell };
    }

    fn notes(&mut self, event: EventId, written: &Event, stroke: Stroke, wake: &mut Wake) -> Fell {
        // Most of all notes are one string struck on a fall, of which there is nothing to note.
        if let (Stroke::Fall, [note @ Note { how: How::Strike, .. }]) = (stroke, self.tune.notes_of(written))
        {
            wake.sound(note.string, note.fret);
            wake.strike(Strings::NONE.with(note.string), event);
            return Fell::Struck;
        }
        let numbered = || (written.notes.start..).map(NoteId).zip(self.tune.notes_of(written));
        let strikes = numbered().filter(|(_, note)| note.how == How::Strike);
        let struck = strikes.fold(Strings::NONE, |strings, (_, note)| strings.with(note.string));
        let is_struck = numbered().any(|(_, note)| note.how == How::Strike);
        if written.notes.len() > 1 {
            self.hand.brushes.push(event);
        }
        let mut strays = stroke != Stroke::Fall;
        for (id, note) in numbered() {
            match note.how {
                How::Strike if strays => {
                    let sounded = wake.sounds(note.string);
                    self.hand.strays.push(Stray {
                        note: id,
                        event,
                        sounded,
                        plant: wake.plant,
                        plants: false,
                    });
                    strays = false;
                }
                How::Strike => {}
                How::Thumb => {
                    self.hand.thumbs.push(Thumb { note: id, event, plant: wake.plant });
                    if stroke != Stroke::Fall {
                        self.mark_planter(wake.plant);
                    }
                }
                How::Hammer | How::Pull | How::Slide => {
                    self.hand.slurs.push(Slur { note: id, event, from: wake.sounds(note.string) });
                }
            }
            // The left hand may add to a strike, but a thumb can never sound as the hand falls.
            if stroke == Stroke::Fall && (note.how == How::Thumb || note.how.is_slur() && !is_struck) {
                self.hand.unstruck.push(Unstruck { note: id, event });
            }
        }
        for (_, note) in numbered() {
            wake.sound(note.string, note.fret);
        }
        if is_struck {
            wake.strike(struck, event);
            Fell::Struck
        } else {
            wake.pass();
            Fell::Not
        }
    }
}

impl Reader<'_> {
    /// Notes of a strike on no fall that it planted a thumb at `plant`.
    fn mark_planter(&mut self, plant: Option<Plant>) {
        let Some(strike) = plant.and_then(|plant| plant.strike) else { return };
        if self.hand.motion(strike).stroke != Stroke::Fall {
            // It is the last, or nearly: an ending may lie between.
            let stray = self.hand.strays.iter_mut().rev().find(|stray| stray.event == strike);
            stray.into_iter().for_each(|stray| stray.plants = true);
        }
    }
}

fn events<'t>(tune: &'t Tune, bar: &Bar) -> impl Iterator<Item = (EventId, &'t Event)> {
    (bar.events.start..).map(EventId).zip(tune.events_of(bar))
}
