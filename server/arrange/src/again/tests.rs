use std::collections::BTreeMap;

use lope_tune::{How, Tuning};
use proptest::prelude::*;

use super::search::{KEPT, best};
use crate::search::tests::steps;
use crate::steps::Step;
use crate::ways::{State, Way, Ways};
use crate::{Choice, Wishes, effort};

type Tab = Vec<(u8, u8, How)>;

/// The least effort of each tab of `steps`, found by trying every way through.
fn by_trying(steps: &[Step], landing: Option<&Step>, ways: &Ways<'_>) -> BTreeMap<String, u32> {
    let mut through: Vec<(State, u32, Tab)> = vec![(State::START, 0, Vec::new())];
    for step in steps {
        let longer = through.iter().flat_map(|(state, effort, tab)| {
            ways.of(state, step).into_iter().filter_map(move |way| {
                let Way::Play { string, fret, how, .. } = way else { return None };
                let effort = effort + effort::of(state, step, &way);
                Some((state.after(step, &way), effort, [tab.as_slice(), &[(string, fret, how)]].concat()))
            })
        });
        through = longer.collect();
    }
    let mut least = BTreeMap::new();
    for (state, effort, tab) in through {
        let landings = landing.map_or(vec![0], |step| {
            let landings = ways.of(&state, step).into_iter().filter(|way| *way != Way::LeaveOut);
            landings.map(|way| effort::of(&state, step, &way)).collect()
        });
        if let Some(landing) = landings.into_iter().min() {
            let known = least.entry(format!("{tab:?}")).or_insert(u32::MAX);
            *known = (*known).min(effort + landing);
        }
    }
    least
}

proptest! {
    #[test]
    fn no_other_tabs_are_easier(steps in steps(), lands: bool) {
        let choice = Choice { tuning: Tuning::default(), capo: 0, up: 0 };
        let wishes = Wishes::default();
        let ways = Ways::new(&choice, &wishes);
        let (landing, steps) = match steps.split_last() {
            Some((last, before)) if lands => (Some(last), before),
            _ => (None, steps.as_slice()),
        };
        let found = best(steps, &[State::START], landing, &ways);
        let all = by_trying(steps, landing, &ways);
        let mut efforts: Vec<u32> = all.values().copied().collect();
        efforts.sort_unstable();
        efforts.truncate(KEPT);
        prop_assert_eq!(found.iter().map(|route| route.effort).collect::<Vec<_>>(), efforts);
        for route in &found {
            let tab: Tab = route.ways.iter().filter_map(|way| match *way {
                Way::Play { string, fret, how, .. } => Some((string, fret, how)),
                Way::LeaveOut => None,
            }).collect();
            prop_assert_eq!(all.get(&format!("{tab:?}")), Some(&route.effort));
        }
    }
}
