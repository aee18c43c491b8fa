use lope_tune::{EventId, Gait, Stroke, Tune};

use crate::Hand;

/// Where in the gait's groups an event is: of two in a reel, of three in a jig or a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Group {
    /// The group's number in the bar or run, from 1.
    pub group: u64,
    /// The event's stroke in the group, from 1.
    pub note: u64,
    /// How many strokes the group has.
    pub of: u64,
}

impl Hand {
    /// The group `event` is in, and its place there; none where it comes between two strokes.
    pub fn group(&self, tune: &Tune, event: EventId) -> Option<Group> {
        let motion = self.motion(event);
        if motion.stroke == Stroke::Between {
            return None;
        }
        let run = tune.events.get(event.index())?.run.and_then(|run| tune.runs.get(run as usize));
        let gait = match run {
            Some(run) => Gait::three(run.slot),
            None => {
                let bar = tune.bars.partition_point(|bar| bar.events.end <= event.0);
                tune.frame(tune.bars.get(bar)?).gait
            }
        };
        Some(group_of(gait, u64::from(motion.number)))
    }
}

/// The group of stroke number `stroke`. A group starts where the gait does, and at each fall that a rise
/// follows: of `x.x.x`, the first two strokes are one and the last three another.
fn group_of(gait: Gait, stroke: u64) -> Group {
    let strokes = u64::from(gait.strokes());
    let starts = |at: &u64| {
        *at == 0
            || at + 1 < strokes && gait.stroke(*at) == Stroke::Fall && gait.stroke(at + 1) == Stroke::Rise
    };
    let (round, at) = (stroke / strokes, stroke % strokes);
    let first = (0..=at).rev().find(starts).unwrap_or(0);
    let end = (at + 1..strokes).find(starts).unwrap_or(strokes);
    let (a_round, before) = ((0..strokes).filter(starts).count(), (0..=at).filter(starts).count());
    Group { group: round * a_round as u64 + before as u64, note: at - first + 1, of: end - first }
}

#[cfg(test)]
mod tests {
    use lope_tune::Duration;

    use super::*;

    fn groups(gait: &str, strokes: u64) -> String {
        let gait = Gait::parse(gait, Duration::new(1, 8)).unwrap();
        let name = |stroke| {
            let Group { group, note, of } = group_of(gait, stroke);
            format!("{group}.{note}/{of}")
        };
        (0..strokes).map(name).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn groups_are_those_a_player_feels() {
        assert_eq!(groups("x.x", 6), "1.1/3 1.2/3 1.3/3 2.1/3 2.2/3 2.3/3");
        assert_eq!(groups("x.", 4), "1.1/2 1.2/2 2.1/2 2.2/2");
        assert_eq!(groups("x.x.x", 6), "1.1/2 1.2/2 2.1/3 2.2/3 2.3/3 3.1/2");
        assert_eq!(groups("x.xx.", 6), "1.1/3 1.2/3 1.3/3 2.1/2 2.2/2 3.1/3");
        assert_eq!(groups("x", 2), "1.1/1 2.1/1");
    }
}
