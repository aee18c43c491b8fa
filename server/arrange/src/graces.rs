//! Grace notes given time.
//!
//! A grace note is sounded by the left hand, a quarter of a stroke before its note, and the note before it is
//! shorter by as much: every other note keeps its moment, and the right hand its gait. Common practice; how long
//! it takes is from memory. One that no string leads to in that time keeps none, and is left out.

use lope_tune::{BarId, Duration, Melody, MelodyNote, Moment};

/// The shares of a stroke of which a grace note takes one.
const SHARES: u32 = 4;

/// `melody` with time for its grace notes, as far as there is some. Its notes stay in their order.
pub fn timed(melody: &Melody) -> Melody {
    let mut timed = melody.clone();
    let mut at = 0;
    while at < timed.notes.len() {
        let graces = timed.notes[at..].iter().take_while(|note| note.grace).count();
        if graces > 0
            && let Some(room) = Room::before(&timed, at, at + graces)
        {
            room.give(&mut timed, at, graces);
        }
        at += graces + 1;
    }
    timed
}

/// The time that a row of grace notes is given: the end of the note before them.
struct Room {
    /// The bar of the note before.
    bar: BarId,
    /// When the first of them begins, from the start of the bar's slots.
    start: Moment,
    /// How long each of them lasts.
    each: Duration,
}

impl Room {
    /// The room for the grace notes from `first` up to the note `main`, which follows right on the note before.
    fn before(melody: &Melody, first: usize, main: usize) -> Option<Self> {
        let (before, main_note) = (melody.notes.get(first.checked_sub(1)?)?, melody.notes.get(main)?);
        let (bar, of_main) =
            (&melody.tune.bars[before.bar.index()], &melody.tune.bars[main_note.bar.index()]);
        let end = before.onset + before.length;
        let follows = if before.bar == main_note.bar {
            main_note.onset == end
        } else {
            // What comes before the first bar of a section in playing depends on the pass.
            let opens = melody.tune.sections.iter().any(|section| section.bars.start == main_note.bar.0);
            let next = before.bar.0 + 1 == main_note.bar.0;
            next && !opens && main_note.onset == Moment::START && end == Moment::START + bar.length
        };
        let step = melody.tune.frame(bar).gait.step();
        let each = step.share(SHARES);
        let start = end - each.times((main - first) as u32);
        // Triplets divide a stroke otherwise, and a grace note on a stroke would be the right hand's.
        let is_straight = |onset: Moment, lead: Duration| (onset + lead).since_start().is_multiple_of(each);
        let is_on_stroke = |at: Moment| (at + bar.lead).since_start().is_multiple_of(step);
        let none_on_strokes = (0..main - first).all(|at| !is_on_stroke(start + each.times(at as u32)));
        let fits = follows
            && !main_note.tied
            && is_straight(before.onset, bar.lead)
            && is_straight(main_note.onset, of_main.lead)
            && start >= before.onset + each
            && none_on_strokes;
        fits.then_some(Self { bar: before.bar, start, each })
    }

    fn give(&self, melody: &mut Melody, first: usize, graces: usize) {
        let before = &mut melody.notes[first - 1];
        before.length = self.start - before.onset;
        for (number, note) in (0..).zip(&mut melody.notes[first..first + graces]) {
            let onset = self.start + self.each.times(number);
            *note = MelodyNote { bar: self.bar, onset, length: self.each, ..*note };
        }
    }
}
