//! The best runs, each of another line of pitches.
//!
//! What comes after a slot depends on where the hands are, where the line is and where it is going: that is
//! the state. For each state the best few ways to it are kept, each of another line. A line that is not among
//! them is worse than all of those, whatever follows, for what follows could follow any of them: so the best
//! few lines at the end are the best few of all, and a test tries every line to show it.

use std::collections::BTreeMap;

use lope_tune::Pitch;

use super::shape::{Heading, WIDEST_LEAP, roughness};
use super::{LONGEST, Slot};
use crate::effort;
use crate::few::{Few, Find};
use crate::steps::Step;
use crate::ways::{State, Way, Ways};

/// How many lines are kept.
pub const KEPT: usize = 6;

/// A way through the slots passed.
#[derive(Clone, Copy, Debug)]
pub struct Path {
    /// The effort so far, in the units of [`effort`].
    pub effort: u32,
    /// What it costs the ear so far.
    pub roughness: u32,
    /// The pitch of each slot, 0 for those to come.
    pub line: [u8; LONGEST],
    /// What is done about each slot.
    pub ways: [Way; LONGEST],
}

impl Path {
    const EMPTY: Self = Self { effort: 0, roughness: 0, line: [0; LONGEST], ways: [Way::LeaveOut; LONGEST] };
}

impl Find for Path {
    /// Of two as good the one that stays lower goes first, so that the order never changes.
    type Rank = (u32, [u8; LONGEST]);

    fn rank(&self) -> Self::Rank {
        (self.effort + self.roughness, self.line)
    }

    fn is_like(&self, other: &Self) -> bool {
        self.line == other.line
    }
}

/// Where the hands and the line are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Stand {
    hands: State,
    pitch: Option<Pitch>,
    heading: Heading,
}

type Layer = BTreeMap<Stand, Few<Path, KEPT>>;

/// The best runs through `slots` from one of the states `from`, the best first, that can go on to `landing`
/// where there is such a step.
pub fn best(slots: &[Slot], from: &[State], landing: Option<&Step>, ways: &Ways<'_>) -> Vec<Path> {
    let begin = |hands: &State| {
        (Stand { hands: *hands, pitch: None, heading: Heading::Begun }, Few::one(Path::EMPTY))
    };
    let mut layer: Layer = from.iter().map(begin).collect();
    for (at, slot) in slots.iter().enumerate() {
        layer = next(&layer, at, slot, ways);
    }
    let mut best = Few::<Path, KEPT>::default();
    for (stand, paths) in &layer {
        let Some(effort) = landing.map_or(Some(0), |step| effort::least(&stand.hands, step, ways)) else {
            continue;
        };
        for path in paths.iter() {
            best.keep(Path { effort: path.effort + effort, ..*path });
        }
    }
    best.into_vec()
}

fn next(layer: &Layer, at: usize, slot: &Slot, ways: &Ways<'_>) -> Layer {
    let mut next = Layer::new();
    for (stand, paths) in layer {
        for pitch in slot.pitches.iter().copied().filter(|pitch| stand.leads_to(*pitch)) {
            let rough = stand.pitch.map_or(0, |from| roughness(from, stand.heading, pitch, slot));
            let heading = stand.pitch.map_or(Heading::Begun, |from| Heading::between(from, pitch));
            let step = Step { pitch, ..slot.step };
            for way in ways.of(&stand.hands, &step) {
                let to = Stand { hands: stand.hands.after(&step, &way), pitch: Some(pitch), heading };
                let effort = effort::of(&stand.hands, &step, &way);
                let kept = next.entry(to).or_default();
                for path in paths.iter() {
                    let mut path = *path;
                    path.effort += effort;
                    path.roughness += rough;
                    (path.line[at], path.ways[at]) = (pitch.0, way);
                    kept.keep(path);
                }
            }
        }
    }
    next
}

impl Stand {
    /// Whether a line that stands here may go on to `pitch`: somewhere else, and not too far.
    fn leads_to(&self, pitch: Pitch) -> bool {
        self.pitch.is_none_or(|from| (1..=WIDEST_LEAP).contains(&from.0.abs_diff(pitch.0)))
    }
}
