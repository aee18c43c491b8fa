//! Columns to time: how many columns make a slot is told from where the notes stand.

use lope_tune::{Duration, Meter, Moment};

use super::METERS;
use super::systems::Measure;
use crate::Remark;

/// How columns are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Columns {
    /// The meter.
    pub meter: Meter,
    /// The columns from one place to the next.
    step: usize,
    /// The column of a bar's first place.
    offset: usize,
    /// How long one place is.
    length: Duration,
    /// Whether a bar with notes between the places takes so many times the columns, as in text of our own.
    stretches: bool,
}

impl Columns {
    /// How `measures` are counted, in `meter` where the text names one.
    pub fn of(
        measures: &[&Measure],
        meter: Option<Meter>,
        letters: Option<(usize, Duration)>,
        remarks: &mut Vec<Remark>,
    ) -> Self {
        // One letter stands before each fret.
        if let (Some(meter), Some((step, length))) = (meter, letters) {
            return Self { meter, step, offset: 1, length, stretches: true };
        }
        let (step, offset) = spacing(measures);
        let usual = usual(measures.iter().map(|measure| places(measure, step, offset)));
        let told = meter.or_else(|| {
            let known = METERS.iter().find(|(slots, _)| *slots == usual);
            known.map(|(_, meter)| *meter)
        });
        let settled = told.unwrap_or_default();
        if meter.is_none() {
            let guess = if told.is_some() { "its bars say" } else { "nothing says" };
            remarks.push(Remark::of_all(format!(
                "the text names no meter; {guess} {}: write `meter: {settled}` or what it is above the tablature",
                if told.is_some() { settled.to_string() } else { "which, and 4/4 is taken".to_owned() }
            )));
        }
        let length = place(settled, usual);
        let columns =
            Self { meter: settled, step, offset, length: length.unwrap_or(settled.slot()), stretches: false };
        let taken = if step == 1 { "1 column is".to_owned() } else { format!("{step} columns are") };
        remarks.push(Remark::of_all(format!(
            "{taken} taken for a {} note, as the notes stand",
            Columns::name(columns.length)
        )));
        let begins =
            |measure: &&&Measure| measure.marks.first().is_some_and(|mark| mark.column < offset + step);
        if !measures.iter().any(|measure| begins(&measure)) {
            remarks.push(Remark::of_all(
                "no bar begins with a note: where the dashes before the first are only room, take them out",
            ));
        }
        if length.is_none() {
            remarks.push(Remark::of_all(format!(
                "a bar of {usual} such places does not fit {settled}: `lope check` shows which bars are too long or too short"
            )));
        }
        columns
    }

    /// When the note in `column` of `measure` begins.
    pub fn at(&self, measure: &Measure, column: usize) -> Moment {
        let places = column.saturating_sub(self.offset);
        let at = self.length.times(places as u32).share(self.step_in(measure) as u32);
        Moment::START + at
    }

    /// When what is written above `column` of `measure` comes: exactly there in text of our own, with the nearest note
    /// in others, which are not so exact.
    pub fn near(&self, measure: &Measure, column: usize) -> Moment {
        let marks = measure.marks.iter().map(|mark| mark.column);
        let nearest = marks.min_by_key(|at| at.abs_diff(column)).filter(|_| !self.stretches);
        self.at(measure, nearest.unwrap_or(column))
    }

    /// How long `measure` is.
    pub fn length(&self, measure: &Measure) -> Duration {
        self.length.times(places(measure, self.step_in(measure), self.offset) as u32)
    }

    /// The columns from one place of `measure` to the next: as many times the usual ones as a full bar leaves room
    /// for.
    fn step_in(&self, measure: &Measure) -> usize {
        let (full, _) = self.meter.bar().divide(self.length);
        let usual = self.step * usize::try_from(full).unwrap_or(1).max(1);
        if self.stretches { self.step * measure.width.div_ceil(usual).max(1) } else { self.step }
    }

    fn name(length: Duration) -> String {
        format!("{}/{}", length.numerator(), length.denominator())
    }
}

/// The columns from one place to the next, and the column of the first, that most notes stand by; the widest of
/// those that fit as many.
fn spacing(measures: &[&Measure]) -> (usize, usize) {
    const WIDEST: usize = 8;
    let columns = || measures.iter().flat_map(|measure| measure.marks.iter().map(|mark| mark.column));
    let all = columns().count();
    let fits = |step: usize, offset: usize| {
        columns().filter(|column| column % step == offset % step && *column >= offset).count()
    };
    let ways = (1..=WIDEST).rev().flat_map(|step| (0..step).map(move |offset| (step, offset)));
    // A note in fifty may stand beside its place.
    ways.clone()
        .find(|(step, offset)| fits(*step, *offset) * 50 >= all * 49 && is_whole(measures, *step, *offset))
        .unwrap_or((1, 0))
}

/// Whether most of `measures` have as many places as some meter has slots, or half or twice as many.
fn is_whole(measures: &[&Measure], step: usize, offset: usize) -> bool {
    let usual = usual(measures.iter().map(|measure| places(measure, step, offset)));
    step == 1 || (2..=32).contains(&usual)
}

/// How many places a bar has.
const fn places(measure: &Measure, step: usize, offset: usize) -> usize {
    let width = measure.width.saturating_sub(offset);
    // Dashes that make room after the last note may be one too few.
    let places = (width + step / 2) / step;
    if places == 0 { 1 } else { places }
}

/// The number that comes most often; of several the largest.
fn usual(numbers: impl Iterator<Item = usize> + Clone) -> usize {
    let often = |number: usize| numbers.clone().filter(|other| *other == number).count();
    numbers.clone().max_by_key(|number| (often(*number), *number)).unwrap_or(1)
}

/// How long each of `places` in a bar of `meter` is, where that is a note.
fn place(meter: Meter, places: usize) -> Option<Duration> {
    let length = meter.bar().share(u32::try_from(places).ok()?);
    let is_note = length.numerator() == 1 && (length.denominator() as u64).is_power_of_two();
    (is_note && length.denominator() <= 64).then_some(length)
}
