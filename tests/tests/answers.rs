//! What editors ask of a text is answered for every text there is.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::sync::Arc;

use lope_desk::{Finding, HintKinds, Reading, Settings, Span, apply};
use lope_syntax::tunes;
use lope_tests::soup;
use proptest::prelude::*;

proptest! {
    #[test]
    fn hints_stand_in_order_where_they_are_asked_for(text in soup::text()) {
        let reading = reading(&text);
        let end = reading.text().len() as u32;
        let all = reading.hints(Span::new(0, end), HintKinds::ALL);
        prop_assert!(all.is_sorted_by_key(|hint| hint.at));
        for hint in &all {
            prop_assert!(reading.text().is_char_boundary(hint.at as usize) && !hint.text.is_empty());
            prop_assert_eq!(reading.explain_hint(hint).is_some(), hint.has_more());
        }
        let middle = Span::new(end / 3, end / 2);
        let there: Vec<_> = all.into_iter().filter(|hint| middle.touches(hint.at)).collect();
        prop_assert_eq!(reading.hints(middle, HintKinds::ALL), there);
    }

    #[test]
    fn every_part_is_seen_from_afar(text in soup::text()) {
        let reading = reading(&text);
        for (name, heading) in reading.parts() {
            let outlook = reading.outlook(name).unwrap();
            prop_assert!(outlook.struck <= outlook.falls, "{:?}", outlook);
            prop_assert!(heading.of(reading.text()).contains(name));
        }
    }

    #[test]
    fn what_is_kept_is_found_no_more(text in soup::text()) {
        let before = reading(&text);
        for finding in before.findings() {
            let Some(edit) = before.keep(finding.rule, finding.span) else { continue };
            let after = reading(&apply(before.text(), std::slice::from_ref(&edit)));
            let moved = |at: u32| if at < edit.span.start { at } else { at + edit.text.len() as u32 };
            let span = Span::new(moved(finding.span.start), moved(finding.span.end));
            let same = |other: &Finding| other.rule == finding.rule && other.span == span;
            prop_assert!(!after.findings().iter().any(same), "{}\n{}", finding.message, after.text());
        }
    }
}

fn reading(text: &str) -> Reading {
    Reading::new(&text[tunes(text)[0].clone()], &Arc::new(Settings::default()))
}
