use lope_tune::{Bar, BarId, Duration, EventId, Frame, Meeting, Moment, Stroke, Tune};

use crate::{Fell, Hand};

/// Two strikes of the hand in a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gap {
    /// The second of them.
    pub event: EventId,
    /// Its bar.
    pub bar: BarId,
    /// The time from the first to the second at the tune's tempo, in microseconds.
    pub micros: u64,
}

impl Hand {
    /// Where two strikes come closer together than `micros` microseconds, in the order of
    /// [`Hand::meetings`]. Where playing can come to a bar from several, the first counts.
    pub fn gaps_under(&self, tune: &Tune, micros: u64) -> Vec<Gap> {
        let mut gaps = Vec::new();
        if self.strokes_take(tune, micros) {
            return gaps;
        }
        // For each bar: the time from the last strike, in it or before it, to the end of its slots.
        let mut wakes: Vec<Option<u64>> = vec![None; tune.bars.len()];
        for Meeting { bar: id, before } in self.meetings.iter().copied() {
            let bar = &tune.bars[id.index()];
            let frame = tune.frame(bar);
            let mut since = before.and_then(|before| {
                let (slots, wait) = (wakes[before.index()]?, wait(tune, &tune.bars[before.index()], bar));
                Some(slots.saturating_add(wait))
            });
            let mut last = Moment::START;
            for event in bar.events.clone().map(EventId) {
                if self.motion(event).fell != Fell::Struck {
                    continue;
                }
                let onset = tune.events[event.index()].onset;
                if let Some(since) = since.map(|since| since.saturating_add(frame.micros(onset - last)))
                    && since < micros
                {
                    gaps.push(Gap { event, bar: id, micros: since });
                }
                (since, last) = (Some(0), onset);
            }
            let rest = frame.micros(Moment::START + bar.length - last);
            wakes[id.index()] = since.map(|since| since.saturating_add(rest));
        }
        gaps
    }

    /// Whether every stroke of every gait and run takes `micros` microseconds or more, and nothing is
    /// struck between strokes: then no two strikes can be closer.
    fn strokes_take(&self, tune: &Tune, micros: u64) -> bool {
        let between = |event| self.motion(event).stroke == Stroke::Between;
        let slow = |frame: &Frame, step| frame.micros(step) >= micros;
        !self.uneven
            && tune.frames.iter().all(|frame| slow(frame, frame.gait.step()))
            && tune.runs.iter().all(|run| slow(tune.frame(&tune.bars[run.bar.index()]), run.slot))
            && !self.strays.iter().any(|stray| between(stray.event))
    }
}

/// The time from the end of the slots of `bar` to the start of those of `next`, in microseconds: what is
/// missing of a whole bar, less what a pickup takes of it.
fn wait(tune: &Tune, bar: &Bar, next: &Bar) -> u64 {
    let frame = tune.frame(bar);
    let pickup = if next.lead == Duration::ZERO { Duration::ZERO } else { next.length };
    let missing = frame.meter.bar() - bar.lead - bar.length - pickup;
    if missing.is_positive() { frame.micros(missing) } else { 0 }
}
