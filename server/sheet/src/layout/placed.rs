//! The measures of a line in their places.

use lope_tune::Moment;

use super::measure::Measure;
use super::spread::spread;
use super::system::{LineOf, Stage};

/// Shares the room of the line among its measures.
pub fn placed<'m>(stage: &Stage<'_>, line_of: &LineOf<'m>, indent: f32) -> Vec<Placed<'m>> {
    let measures = line_of.measures;
    let fixed: f32 = measures.iter().map(|measure| measure.left + measure.right).sum();
    let gaps: Vec<_> = measures.iter().flat_map(|measure| measure.gaps.iter().copied()).collect();
    let mut widths = spread(&gaps, line_of.width - indent - fixed).into_iter();
    let mut x = indent;
    let place = |(number, measure): (usize, &'m Measure)| {
        let from = x;
        x += measure.left;
        let mut xs = vec![x];
        for width in widths.by_ref().take(measure.gaps.len()) {
            x += width;
            xs.push(x);
        }
        x += measure.right;
        let drawn = &stage.score.bars[measure.drawn];
        let bar = &stage.tune.bars[drawn.bar.index()];
        let events = stage.tune.events_of(bar).get(measure.columns.clone()).unwrap_or_default();
        let mut times: Vec<f32> = events.iter().map(|event| time(event.onset)).collect();
        times.extend(events.last().map(|last| time(last.onset + last.length)));
        Placed { measure, number, from, to: x, columns: Columns { times, xs } }
    };
    measures.iter().enumerate().map(place).collect()
}

/// A measure that has its place.
pub struct Placed<'m> {
    /// The measure.
    pub measure: &'m Measure,
    /// Its place among those of the system.
    pub number: usize,
    /// Its left edge.
    pub from: f32,
    /// Its right edge.
    pub to: f32,
    /// Its columns.
    pub columns: Columns,
}

/// Where the columns of a bar stand.
pub struct Columns {
    /// When each begins, and when the last ends, in whole notes.
    times: Vec<f32>,
    /// Where they stand.
    xs: Vec<f32>,
}

impl Columns {
    /// Where the moment `at` stands.
    pub fn x(&self, at: Moment) -> f32 {
        let time = time(at);
        let next = self.times.partition_point(|start| *start <= time);
        let before = next.saturating_sub(1);
        let (Some(start), Some(x)) = (self.times.get(before), self.xs.get(before)) else { return 0.0 };
        match (self.times.get(next), self.xs.get(next)) {
            (Some(end), Some(to)) if end > start => x + (to - x) * ((time - start) / (end - start)).max(0.0),
            _ => *x,
        }
    }
}

fn time(at: Moment) -> f32 {
    let since = at.since_start();
    since.numerator() as f32 / since.denominator() as f32
}
