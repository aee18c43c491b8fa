//! What stands in a bar, and when.

use lope_hand::{Fell, Hand};
use lope_tune::{BarContent, BarId, Duration, EventId, EventKind, Frame, How, Moment, Run, Tune};

use super::rhythm::{Rhythm, rhythm};

/// What stands in a bar of slots.
#[derive(Clone, Debug, Default)]
pub struct Contents {
    /// Its rhythm.
    pub rhythm: Rhythm,
    /// What the hands do, in order.
    pub strokes: Vec<Stroke>,
    /// The count, in order.
    pub counts: Vec<Count>,
}

/// What the hands do at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// When, from the start of the bar's slots.
    pub at: Moment,
    /// What.
    pub kind: StrokeKind,
    /// The event that sounds by it, by its number in the tune.
    pub event: Option<EventId>,
}

/// What the hands do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StrokeKind {
    /// The hand falls and strikes.
    Struck,
    /// It falls on air.
    Air,
    /// The thumb sounds a string as it rises.
    Thumb,
    /// The left hand sounds a string by itself.
    Left,
}

/// A moment that is counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    /// When, from the start of the bar's slots.
    pub at: Moment,
    /// What is said: `3`, `&`.
    pub said: String,
    /// Whether a group of the bar begins there.
    pub first: bool,
}

impl Contents {
    /// What stands in `bar`; nothing unless it has slots of its own.
    pub fn of(tune: &Tune, hand: &Hand, id: BarId) -> Self {
        let bar = &tune.bars[id.index()];
        let frame = tune.frame(bar);
        Self {
            rhythm: rhythm(bar, tune.events_of(bar), frame),
            strokes: strokes(tune, hand, id),
            counts: counts(tune, id, frame),
        }
    }
}

/// The moments of `bar` that have a count below them, from the start of its slots: [`Part::Count`] numbers them.
///
/// [`Part::Count`]: crate::frame::Part::Count
pub fn counted(tune: &Tune, bar: BarId) -> Vec<Moment> {
    counts(tune, bar, tune.frame(&tune.bars[bar.index()])).into_iter().map(|count| count.at).collect()
}

fn strokes(tune: &Tune, hand: &Hand, id: BarId) -> Vec<Stroke> {
    let bar = &tune.bars[id.index()];
    let mut falls = hand.falls_at(tune, id).into_iter().peekable();
    let mut strokes = Vec::with_capacity(bar.events.len() + 2);
    let air = |at| Stroke { at, kind: StrokeKind::Air, event: None };
    for (number, event) in (bar.events.start..).map(EventId).zip(tune.events_of(bar)) {
        while let Some(fall) = falls.next_if(|fall| *fall < event.onset) {
            strokes.push(air(fall));
        }
        falls.next_if(|fall| *fall == event.onset);
        let sounds = |kind| Stroke { at: event.onset, kind, event: Some(number) };
        match (event.kind, hand.motion(number).fell) {
            (EventKind::Notes, Fell::Struck) => strokes.push(sounds(StrokeKind::Struck)),
            (EventKind::Notes, _) => {
                let thumbed = tune.notes_of(event).iter().any(|note| note.how == How::Thumb);
                strokes.push(sounds(if thumbed { StrokeKind::Thumb } else { StrokeKind::Left }));
            }
            (_, Fell::Air) => strokes.push(air(event.onset)),
            _ => {}
        }
    }
    strokes.extend(falls.map(air));
    strokes
}

/// The moments of bar `id` that are counted: the strokes of the gait, but in a run only where a group of
/// three begins.
fn counts(tune: &Tune, id: BarId, frame: &Frame) -> Vec<Count> {
    let bar = &tune.bars[id.index()];
    if bar.content != BarContent::Slots {
        return Vec::new();
    }
    let runs = of_bar(&tune.runs, id);
    let step = frame.gait.step();
    let (gone, rest) = bar.lead.divide(step);
    let first = u32::try_from(gone).unwrap_or(u32::MAX) + u32::from(rest != Duration::ZERO);
    let places = (first..).map(|stroke| Moment::START + step.times(stroke));
    let places = places.take_while(|place| place.since_start() < bar.lead + bar.length);
    let mut counts = Vec::new();
    for place in places.take(MOST) {
        let at = place - bar.lead;
        let inside = runs
            .iter()
            .any(|run| run.start < at && at < run.start + run.slot.times(run.slots) && !run.begins_three(at));
        let said = frame.meter.count(place);
        if inside || said.starts_with("after") {
            continue;
        }
        let said = said.rsplit(' ').next().unwrap_or_default().to_owned();
        counts.push(Count { at, said, first: frame.group(place).start == place });
    }
    counts
}

/// The most counts in a bar: nobody counts further.
const MOST: usize = 4_000;

fn of_bar(runs: &[Run], bar: BarId) -> &[Run] {
    let first = runs.partition_point(|run| run.bar < bar);
    let last = runs.partition_point(|run| run.bar <= bar);
    &runs[first..last]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::tune_in;

    #[track_caller]
    fn check(meter: &str, music: &str, strokes: &str, counts: &str) {
        let tune = tune_in(meter, music);
        let contents = Contents::of(&tune, &lope_hand::read(&tune), BarId(0));
        let letters = contents.strokes.iter().map(|stroke| match stroke.kind {
            StrokeKind::Struck => 'x',
            StrokeKind::Air => 'o',
            StrokeKind::Thumb => 't',
            StrokeKind::Left => 'l',
        });
        assert_eq!(letters.collect::<String>(), strokes, "{music}");
        let said: Vec<&str> = contents.counts.iter().map(|count| count.said.as_str()).collect();
        assert_eq!(said.join(" "), counts, "{music}");
    }

    #[test]
    fn the_lane_has_every_fall_and_every_sounding_stroke() {
        check("6/8", "| 3:0 t 2:0  1:0- 2:0 |", "xtxxx", "1 2 3 4 5 6");
        check("6/8", "| 3:0 h2 2:0  1:0- - |", "xlxxo", "1 2 3 4 5 6");
        check("6/8", "| 3:0 t p0  _ _ _ |", "xtloo", "1 2 3 4 5 6");
        check("4/4", "| 3:0- - t  {3:0 t 3:0}/2 3:0 t |", "xotxtxxt", "1 & 2 & 3 4 &");
        check("2/4", "| 3:0 t 3:0 t  3:0- - - |", "xtxtxo", "1 e & a 2 e & a");
    }

    #[test]
    fn a_pickup_is_counted_from_the_end_of_its_bar() {
        check("6/8", "2:0 1:0 | 3:0- - 3:0- - |", "xx", "5 6");
    }
}
