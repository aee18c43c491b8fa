use lope_tune::{Duration, EventId, Stroke, Tune};

use crate::Hand;

/// Where in its group an event is, counted in strokes of the gait.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Group {
    /// The group's number in the bar, or in the run, from 1.
    pub group: u64,
    /// The event's stroke in the group, from 1.
    pub note: u64,
    /// How many strokes the group has.
    pub of: u64,
}

impl Hand {
    /// Where in its group `event` is: of two in a reel, of three in a jig or a run. None where it comes
    /// between two strokes.
    pub fn group(&self, tune: &Tune, event: EventId) -> Option<Group> {
        let motion = self.motion(event);
        let written = tune.events.get(event.index())?;
        if motion.stroke == Stroke::Between {
            return None;
        }
        if written.run.is_some() {
            let number = u64::from(motion.number);
            return Some(Group { group: number / 3 + 1, note: number % 3 + 1, of: 3 });
        }
        let bar = tune.bars.get(tune.bars.partition_point(|bar| bar.events.end <= event.0))?;
        let frame = tune.frame(bar);
        let at = written.onset + bar.lead;
        let group = frame.group(at);
        let strokes = |length: Duration| length.divide(frame.gait.step()).0.unsigned_abs();
        Some(Group {
            group: u64::from(group.number) + 1,
            note: strokes(at - group.start) + 1,
            of: strokes(group.length),
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::read;
    use crate::tests::in_meter;

    use super::*;

    fn groups(meter: &str, music: &str) -> String {
        let tune = in_meter(meter, music);
        let hand = read(&tune);
        let name = |id| match hand.group(&tune, EventId(id)) {
            Some(Group { group, note, of }) => format!("{group}.{note}/{of}"),
            None => "between".to_owned(),
        };
        (0..tune.events.len() as u32).map(name).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn notes_are_counted_in_the_groups_a_player_sees() {
        assert_eq!(groups("6/8", "| 3:0 t 3:0  3:0- 3:0 |"), "1.1/3 1.2/3 1.3/3 2.1/3 2.3/3");
        assert_eq!(groups("6/8", "3:0 | 3:0- -  - - - |"), "2.3/3 1.1/3");
        assert_eq!(groups("2/4", "| 3:0- - t  3:0 t - {3:0 t} |"), "1.1/4 1.4/4 2.1/4 2.2/4 2.4/4 between");
        assert_eq!(groups("4/4", "| {3:0 t 3:0  3:0 t 3:0}/8 |"), "1.1/3 1.2/3 1.3/3 2.1/3 2.2/3 2.3/3");
    }
}
