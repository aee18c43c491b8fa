use lope_tune::{Bar, BarId, Duration, Gait, Moment, Run, Stroke, Tune};

use crate::pace::Pace;

/// The runs of `bar`, in order.
pub fn of_bar(tune: &Tune, bar: BarId) -> &[Run] {
    let first = tune.runs.partition_point(|run| run.bar < bar);
    let last = tune.runs.partition_point(|run| run.bar <= bar);
    &tune.runs[first..last]
}

/// What the gait of `run` has at `onset`, from the start of its bar's slots, and the number of the stroke
/// at or before it.
pub fn stroke_at(run: &Run, onset: Moment) -> (Stroke, u64) {
    Gait::three(run.slot).at(Moment::START + (onset - run.start))
}

/// The falls in the slots of a bar that has `runs`, in order, from the start of its slots: those of each
/// run inside it, of the innermost where runs are in runs, and the bar's own around them.
pub fn falls(bar: &Bar, pace: &Pace, runs: &[Run]) -> Vec<Moment> {
    let strokes = pace.begun_before(bar.lead)..pace.begun_before(bar.lead + bar.length);
    let own = pace.falls_from(strokes.start).take_while(|stroke| *stroke < strokes.end);
    let mut falls: Vec<(Moment, Option<usize>)> =
        own.map(|stroke| (pace.moment(stroke) - bar.lead, None)).collect();
    for (at, run) in runs.iter().enumerate() {
        let gait = Gait::three(run.slot);
        let strokes = (0..run.slots).filter(|slot| gait.stroke(u64::from(*slot)) == Stroke::Fall);
        falls.extend(strokes.map(|slot| (run.start + run.slot.times(slot), Some(at))));
    }
    falls.sort_by_key(|(moment, _)| *moment);

    let mut open: Vec<usize> = Vec::new();
    let mut coming = 0;
    falls.retain(|(moment, owner)| {
        let begun = runs[coming..].iter().take_while(|run| run.start <= *moment).count();
        open.extend(coming..coming + begun);
        coming += begun;
        while open.last().is_some_and(|run| end(&runs[*run]) <= *moment) {
            open.pop();
        }
        open.last() == owner.as_ref()
    });
    falls.into_iter().map(|(moment, _)| moment).collect()
}

fn end(run: &Run) -> Moment {
    let length: Duration = run.slot.times(run.slots);
    run.start + length
}
