//! The easiest way through a melody's steps.
//!
//! What a way costs depends on where the hands are and not on how they came there, so the easiest way
//! through all steps goes through an easiest way to each state on its route: exact dynamic programming over
//! the states. Of ways as easy, the first in the order of [`Ways::of`] is taken, so that the same melody is
//! always set alike.

use std::collections::HashMap;

use crate::effort;
use crate::steps::Step;
use crate::ways::{State, Way, Ways};

/// A way through.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Route {
    /// What is done about each step.
    pub ways: Vec<Way>,
    /// The effort of all, in the units of [`effort`].
    pub effort: u32,
}

/// How far ways reach where none goes through: the first step that no hand gets to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stuck(pub usize);

/// A state reached, and the easiest way to it.
struct Node {
    state: State,
    effort: u32,
    /// Its place in the layer before.
    from: usize,
    way: Way,
}

/// The easiest way through `steps`.
///
/// # Errors
/// When there is none.
pub fn easiest(steps: &[Step], ways: &Ways<'_>) -> Result<Route, Stuck> {
    let start = Node { state: State::START, effort: 0, from: 0, way: Way::LeaveOut };
    let mut layers = vec![vec![start]];
    for (at, step) in steps.iter().enumerate() {
        let layer = next(layers.last().map_or(&[], Vec::as_slice), step, ways);
        if layer.is_empty() {
            return Err(Stuck(at));
        }
        layers.push(layer);
    }
    Ok(back(&layers))
}

fn next(layer: &[Node], step: &Step, ways: &Ways<'_>) -> Vec<Node> {
    let mut nodes: Vec<Node> = Vec::new();
    let mut places: HashMap<State, usize> = HashMap::new();
    for (from, node) in layer.iter().enumerate() {
        for way in ways.of(&node.state, step) {
            let state = node.state.after(step, &way);
            let effort = node.effort + effort::of(&node.state, step, &way);
            let place = *places.entry(state).or_insert(nodes.len());
            match nodes.get_mut(place) {
                None => nodes.push(Node { state, effort, from, way }),
                Some(known) if effort < known.effort => *known = Node { state, effort, from, way },
                Some(_) => {}
            }
        }
    }
    nodes
}

/// The route to the easiest state of the last layer.
fn back(layers: &[Vec<Node>]) -> Route {
    let mut route = Route::default();
    let Some((last, layers)) = layers.split_last() else { return route };
    let Some(mut node) = last.iter().min_by_key(|node| node.effort) else { return route };
    route.effort = node.effort;
    for layer in layers.iter().rev() {
        route.ways.push(node.way);
        node = &layer[node.from];
    }
    route.ways.reverse();
    route
}

#[cfg(test)]
pub mod tests {
    use lope_tune::{Duration, Moment, Pitch, Stroke, Tuning};
    use proptest::prelude::*;

    use super::*;
    use crate::{Choice, Level, Wishes};

    /// The least effort of all ways through, found by trying every one.
    fn by_trying(steps: &[Step], ways: &Ways<'_>, from: State) -> Option<u32> {
        let Some((step, rest)) = steps.split_first() else { return Some(0) };
        let tried = ways.of(&from, step).into_iter().filter_map(|way| {
            Some(effort::of(&from, step, &way) + by_trying(rest, ways, from.after(step, &way))?)
        });
        tried.min()
    }

    /// A few steps, of any pitches and strokes.
    pub fn steps() -> impl Strategy<Value = Vec<Step>> {
        let step = (50_u8..80, 0..3_u8, any::<bool>(), 1..4_i64);
        prop::collection::vec(step, 1..5).prop_map(|steps| {
            let step = |(at, (pitch, stroke, gap, eighths)): (usize, (u8, u8, bool, i64))| Step {
                note: at,
                bar: lope_tune::BarId(0),
                onset: Moment::START,
                pitch: Pitch(pitch),
                stroke: [Stroke::Fall, Stroke::Rise, Stroke::Between][usize::from(stroke)],
                air: gap,
                rested: gap && eighths > 2,
                since: Duration::new(eighths, 8),
                grace: false,
                fixed: None,
            };
            steps.into_iter().enumerate().map(step).collect()
        })
    }

    proptest! {
        #[test]
        fn no_other_way_is_easier(steps in steps(), beginner in any::<bool>()) {
            let choice = Choice { tuning: Tuning::default(), capo: 0, up: 0 };
            let level = if beginner { Level::Beginner } else { Level::Player };
            let wishes = Wishes { level, ..Wishes::default() };
            let ways = Ways::new(&choice, &wishes);
            let found = easiest(&steps, &ways);
            prop_assert_eq!(found.as_ref().ok().map(|route| route.effort), by_trying(&steps, &ways, State::START));
            if let Ok(route) = found {
                let (mut state, mut effort) = (State::START, 0);
                for (step, way) in steps.iter().zip(&route.ways) {
                    prop_assert!(ways.of(&state, step).contains(way));
                    effort += effort::of(&state, step, way);
                    state = state.after(step, way);
                }
                prop_assert_eq!(effort, route.effort);
            }
        }
    }
}
