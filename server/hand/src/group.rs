use lope_tune::{Duration, EventId, Stroke, Tune};

use crate::Hand;

/// Where in its group an event is, counted in strokes of the gait.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The group's number in the bar, or in the run, from 1.
    pub group: u32,
    /// The event's stroke in the group, from 1.
    pub note: u32,
    /// How many strokes the group has.
    pub of: u32,
}

impl Hand {
    /// Where in its group `event` is: of two in a reel, of three in a jig or a run. None where it comes
    /// between two strokes.
    pub fn standing(&self, tune: &Tune, event: EventId) -> Option<Standing> {
        let motion = self.motion(event);
        let written = tune.events.get(event.index())?;
        if motion.stroke == Stroke::Between {
            return None;
        }
        if written.run.is_some() {
            return Some(Standing { group: motion.number / 3 + 1, note: motion.number % 3 + 1, of: 3 });
        }
        let bar = tune.bars.get(tune.bars.partition_point(|bar| bar.events.end <= event.0))?;
        let frame = tune.frame(bar);
        let at = written.onset + bar.lead;
        let group = frame.group(at);
        let strokes =
            |length: Duration| u32::try_from(length.divide(frame.gait.step()).0).unwrap_or(u32::MAX);
        Some(Standing {
            group: group.number.saturating_add(1),
            note: strokes(at - group.start).saturating_add(1),
            of: strokes(group.length),
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::read;
    use crate::tests::in_meter;

    use super::*;

    fn standings(meter: &str, music: &str) -> String {
        let tune = in_meter(meter, music);
        let hand = read(&tune);
        let name = |id| match hand.standing(&tune, EventId(id)) {
            Some(Standing { group, note, of }) => format!("{group}.{note}/{of}"),
            None => "between".to_owned(),
        };
        (0..tune.events.len() as u32).map(name).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn notes_are_counted_in_the_groups_a_player_sees() {
        assert_eq!(standings("6/8", "| 3:0 t 3:0  3:0- 3:0 |"), "1.1/3 1.2/3 1.3/3 2.1/3 2.3/3");
        assert_eq!(standings("6/8", "3:0 | 3:0- -  - - - |"), "2.3/3 1.1/3");
        assert_eq!(
            standings("2/4", "| 3:0- - t  3:0 t - {3:0 t} |"),
            "1.1/4 1.4/4 2.1/4 2.2/4 2.4/4 between"
        );
        assert_eq!(standings("4/4", "| {3:0 t 3:0  3:0 t 3:0}/8 |"), "1.1/3 1.2/3 1.3/3 2.1/3 2.2/3 2.3/3");
    }
}
