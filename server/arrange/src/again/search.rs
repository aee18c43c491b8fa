//! The best few ways through, no two of them the same in tab.
//!
//! What comes after a step depends only on where the hands are. For each such state the best few ways to it are
//! kept, each of another tab: one that is not among them is worse than all of those whatever follows, so the best
//! few at the end are the best of all. A test tries every way to show it.

use std::collections::BTreeMap;

use lope_tune::How;

use crate::effort;
use crate::few::{Few, Find};
use crate::search::Route;
use crate::steps::Step;
use crate::ways::{State, Way, Ways};

/// How many ways are kept.
pub const KEPT: usize = 4;

impl Find for Route {
    type Rank = u32;

    fn rank(&self) -> u32 {
        self.effort
    }

    /// What is read of it decides: where the left hand is, is not.
    fn is_like(&self, other: &Self) -> bool {
        tab(self).eq(tab(other))
    }
}

/// The states that the hands may be in after `steps`, played as they are written, which is settled. A note that no
/// hand keeping its gait could play so leaves the hand wherever it holds it.
pub fn follow(steps: &[Step], ways: &Ways<'_>) -> Vec<State> {
    let mut states = vec![State::START];
    for step in steps {
        let mut next: Vec<State> = Vec::new();
        for state in &states {
            next.extend(ways.sounding(state, step).map(|way| state.after(step, &way)));
        }
        if next.is_empty()
            && let Some(note) = step.fixed
        {
            let held = |position| State {
                string: if note.string == 5 { 0 } else { note.string },
                fret: note.fret,
                position,
                slurred: note.how.is_slur(),
            };
            next.extend(ways.holding(note.fret.max(1)).map(held));
        }
        next.sort_unstable();
        next.dedup();
        states = next;
    }
    states
}

/// The best few ways through `steps` from one of the states `from`, the easiest first, that can go on to
/// `landing` where there is such a step. Nothing is left out.
pub fn best(steps: &[Step], from: &[State], landing: Option<&Step>, ways: &Ways<'_>) -> Vec<Route> {
    let mut layer: BTreeMap<State, Few<Route, KEPT>> =
        from.iter().map(|state| (*state, Few::one(Route::default()))).collect();
    for step in steps {
        let mut next = BTreeMap::<State, Few<Route, KEPT>>::new();
        for (state, routes) in &layer {
            for way in ways.sounding(state, step) {
                let kept = next.entry(state.after(step, &way)).or_default();
                let effort = effort::of(state, step, &way);
                for route in routes.iter() {
                    let effort = route.effort + effort;
                    if kept.has_room_for(&effort) {
                        let ways = route.ways.iter().copied().chain([way]).collect();
                        kept.keep(Route { effort, ways });
                    }
                }
            }
        }
        layer = next;
    }
    let mut best = Few::<Route, KEPT>::default();
    for (state, routes) in &layer {
        let Some(effort) = landing.map_or(Some(0), |step| effort::least(state, step, ways)) else { continue };
        for route in routes.iter() {
            best.keep(Route { effort: route.effort + effort, ways: route.ways.clone() });
        }
    }
    best.into_vec()
}

/// `route` as it is read, from its end.
fn tab(route: &Route) -> impl Iterator<Item = Option<(u8, u8, How)>> {
    route.ways.iter().rev().map(|way| match *way {
        Way::Play { string, fret, how, .. } => Some((string, fret, how)),
        Way::LeaveOut => None,
    })
}
