//! Tabs as people paste them into mail, all invented, read by the real program: `tests/pasted` holds each beside the tune
//! that a player would read in it, and what is said of it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;

use lope_exchange::text::read_tab;
use lope_tests::program::{root, run};
use lope_tune::{Duration, Moment};
use proptest::prelude::*;

#[test]
fn pasted_tabs_are_read_as_players_read_them() {
    let folder = root().join("tests/pasted");
    let mut names: Vec<_> = fs::read_dir(&folder).unwrap().map(|file| file.unwrap().path()).collect();
    names.retain(|path| path.extension().is_some_and(|ending| ending == "txt"));
    assert!(names.len() >= 12, "{names:?}");
    for path in names {
        let name = path.file_name().unwrap().to_str().unwrap();
        let ran = run(&folder, ["arrange", "--as-written", name]);
        let golden = |ending| fs::read_to_string(path.with_extension(ending)).unwrap();
        assert_eq!(ran.out, golden("lope"), "{name}");
        assert_eq!(ran.err.replace(&format!("lope: {name}: "), ""), golden("said"), "{name}");
        assert_eq!(ran.code(), 0, "{name}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]
    /// Whatever mail does to a tab, it is refused, or read as a tune whose notes are all within their bars.
    #[test]
    fn mangled_tabs_are_refused_or_read(
        which in any::<prop::sample::Index>(),
        slips in prop::collection::vec((any::<prop::sample::Index>(), "[-|0-9hpst:>~* \n]{0,3}"), 1..12),
    ) {
        let texts: Vec<String> = fs::read_dir(root().join("tests/pasted"))
            .unwrap()
            .map(|file| file.unwrap().path())
            .filter(|path| path.extension().is_some_and(|ending| ending == "txt"))
            .map(|path| fs::read_to_string(path).unwrap())
            .collect();
        let mut letters: Vec<char> = which.get(&texts).chars().collect();
        for (place, slip) in &slips {
            let at = place.index(letters.len());
            letters.splice(at..=at, slip.chars());
        }
        let Ok(tab) = read_tab(letters.into_iter().collect::<String>().as_bytes(), None) else { return Ok(()) };
        for bar in &tab.tune.bars {
            let mut now = Moment::START;
            for event in tab.tune.events_of(bar) {
                prop_assert!(event.onset >= now && event.length >= Duration::ZERO);
                now = event.onset + event.length;
            }
            prop_assert!(now <= Moment::START + bar.length);
        }
    }
}
