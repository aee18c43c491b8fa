//! Columns to time.
//!
//! How many columns make a place, and how long that is, is told from where the notes of all bars stand. A bar that is
//! not like the others is read so that it fills the meter, where there is a way.

use lope_tune::{Duration, Meter, Moment};

use super::bars::Measure;
use super::fit::{self, Spacing};
use crate::Remark;

/// How the columns of every bar are counted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Columns {
    /// The meter.
    pub meter: Meter,
    /// How long one place is in a bar like the others.
    place: Duration,
    bars: Vec<Timing>,
    /// Whether what stands above the notes is over its moment to the column, as in text of our own.
    is_exact: bool,
}

/// The columns of one bar.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Timing {
    /// How long the bar is.
    length: Duration,
    /// The column of its first place, and the columns from one to the next.
    spacing: Spacing,
    /// Its places that stand elsewhere: their columns and when they come.
    elsewhere: Vec<(usize, Moment)>,
}

/// The meters that are told from how many places the bars have.
const METERS: [(usize, Meter); 5] = [
    (6, Meter { beats: 6, unit: 8 }),
    (9, Meter { beats: 9, unit: 8 }),
    (12, Meter { beats: 12, unit: 8 }),
    (8, Meter { beats: 4, unit: 4 }),
    (16, Meter { beats: 4, unit: 4 }),
];

impl Columns {
    /// How `measures` are counted, in `meter` where the text names one.
    pub fn of(
        measures: &[&Measure],
        meter: Option<Meter>,
        letters: Option<(usize, Duration)>,
        remarks: &mut Vec<Remark>,
    ) -> Self {
        if let (Some(meter), Some((step, place))) = (meter, letters) {
            return Self::of_our_own(measures, meter, step, place);
        }
        let slots = meter.map(slots);
        let spacing = fit::usual(measures, slots);
        let usual = fit::most_often(measures, spacing, slots);
        let told =
            meter.or_else(|| METERS.iter().find(|(slots, _)| *slots == usual).map(|(_, meter)| *meter));
        let settled = told.unwrap_or_default();
        if meter.is_none() {
            let guess = if told.is_some() { "its bars say" } else { "nothing says" };
            remarks.push(Remark::of_all(format!(
                "the text names no meter; {guess} {}: write `meter: {settled}` or what it is above the tablature",
                if told.is_some() { settled.to_string() } else { "which, and 4/4 is taken".to_owned() }
            )));
        }
        let place = place(settled, usual);
        let mut columns = Self {
            meter: settled,
            place: place.unwrap_or(settled.slot()),
            bars: Vec::with_capacity(measures.len()),
            is_exact: false,
        };
        let step = spacing.step;
        let taken = if step == 1 { "1 column is".to_owned() } else { format!("{step} columns are") };
        remarks.push(Remark::of_all(format!(
            "{taken} taken for a {} note, as the notes stand",
            name(columns.place)
        )));
        if spacing.offset >= spacing.step {
            let text =
                format!("{} columns before the first note of each bar are taken for room", spacing.offset);
            remarks.push(Remark::of_all(text));
        }
        let unlike: Vec<usize> = (0..measures.len())
            .filter(|number| {
                let timing = columns.timing(measures, *number, spacing);
                columns.bars.push(timing.0);
                timing.1
            })
            .collect();
        if !unlike.is_empty() {
            remarks.push(Remark::of_all(format!(
                "{} columns unlike the others': notes are put where they fill {settled}",
                listed(&unlike)
            )));
        }
        if place.is_none() {
            remarks.push(Remark::of_all(format!(
                "a bar of {usual} such places does not fit {settled}: `lope check` shows which bars are too long or too short"
            )));
        }
        columns
    }

    /// Text of our own, with one letter before each fret; a bar with notes between the places takes so many times the
    /// columns.
    fn of_our_own(measures: &[&Measure], meter: Meter, step: usize, place: Duration) -> Self {
        let (full, _) = meter.bar().divide(place);
        let usual = step * usize::try_from(full).unwrap_or(1).max(1);
        let timing = |measure: &&Measure| {
            let spacing = Spacing { offset: 1, step: step * measure.width.div_ceil(usual).max(1) };
            let length = place.times(spacing.places(measure.width) as u32);
            Timing { length, spacing, elsewhere: Vec::new() }
        };
        Self { meter, place, bars: measures.iter().map(timing).collect(), is_exact: true }
    }

    /// The columns of the bar numbered `number`, where the usual ones are `usual`; and whether they are others.
    fn timing(&self, measures: &[&Measure], number: usize, usual: Spacing) -> (Timing, bool) {
        let measure = measures[number];
        let (full, over) = self.meter.bar().divide(self.place);
        let full = if over == Duration::ZERO { full as usize } else { 0 };
        let timing = |spacing: Spacing, places: usize, elsewhere: Vec<(usize, Moment)>| Timing {
            length: self.place.times(places as u32),
            spacing,
            elsewhere,
        };
        // The bar at the start or the end of a part may be short.
        let before = number.checked_sub(1).map(|before| measures[before]);
        let is_first = measure.forward || measure.opens || before.is_none_or(|before| before.backward);
        let is_last =
            measure.backward || measures.get(number + 1).is_none_or(|next| next.forward || next.opens);
        let places = match fit::places(measure, usual, full, is_first || is_last) {
            fit::Places::Usual(places) => return (timing(usual, places, Vec::new()), false),
            fit::Places::Spaced(spacing) => return (timing(spacing, full, Vec::new()), true),
            fit::Places::Each(places) => places,
        };
        let at = |place: usize| Moment::START + self.place.times(place as u32);
        let elsewhere = places.into_iter().map(|(column, place)| (column, at(place))).collect();
        (timing(usual, full, elsewhere), true)
    }

    /// When what stands in `column` of the bar numbered `bar` begins.
    pub fn at(&self, bar: usize, column: usize) -> Moment {
        let Timing { spacing, elsewhere, .. } = &self.bars[bar];
        if let Some((_, at)) = elsewhere.iter().find(|(place, _)| *place == column) {
            return *at;
        }
        let columns = column.saturating_sub(spacing.offset);
        Moment::START + self.place.times(columns as u32).share(spacing.step as u32)
    }

    /// When what is written above `column` of `measure`, the bar numbered `bar`, comes: exactly there in text of our
    /// own, with the nearest note in others, which are not so exact.
    pub fn near(&self, bar: usize, measure: &Measure, column: usize) -> Moment {
        let marks = measure.marks.iter().map(|mark| mark.column);
        let nearest = marks.min_by_key(|at| at.abs_diff(column)).filter(|_| !self.is_exact);
        self.at(bar, nearest.unwrap_or(column))
    }

    /// How long the bar numbered `bar` is.
    pub fn length(&self, bar: usize) -> Duration {
        self.bars[bar].length
    }
}

/// How many slots a bar of `meter` has.
fn slots(meter: Meter) -> usize {
    meter.bar().divide(meter.slot()).0.max(1) as usize
}

/// How long each of `places` in a bar of `meter` is, where that is a note.
fn place(meter: Meter, places: usize) -> Option<Duration> {
    let length = meter.bar().share(u32::try_from(places).ok()?);
    let is_note = length.numerator() == 1 && (length.denominator() as u64).is_power_of_two();
    (is_note && length.denominator() <= 64).then_some(length)
}

fn name(length: Duration) -> String {
    format!("{}/{}", length.numerator(), length.denominator())
}

/// That `bars`, of which the first are named, counted from 1, have something.
fn listed(bars: &[usize]) -> String {
    const MOST: usize = 8;
    let numbers: Vec<String> = bars.iter().take(MOST).map(|bar| (bar + 1).to_string()).collect();
    let more = bars.len().saturating_sub(MOST);
    match &numbers[..] {
        [one] => format!("measure {one} has"),
        [most @ .., last] if more == 0 => format!("measures {} and {last} have", most.join(", ")),
        _ => format!("measures {} and {more} more have", numbers.join(", ")),
    }
}
