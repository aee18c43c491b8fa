//! Any place of any text can be asked about, and what is offered there can be played.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::sync::Arc;

use lope_desk::{Completion, CompletionKind, Page, Settings, Span};
use lope_tests::soup;
use lope_tests::tunes::{self, Trouble};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;

proptest! {
    #[test]
    fn hovers_and_words_lie_around_the_cursor(text in soup::file(), places in vec(any::<Index>(), 60)) {
        let ends: Vec<usize> = text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
        let page = Page::read(&text, &Arc::new(Settings::default()));
        for at in places.iter().map(|place| *place.get(&ends)) {
            if let Some((entry, hover)) = page.hover(at) {
                let bytes = entry.bytes(hover.span);
                prop_assert!(text.get(bytes.clone()).is_some(), "{bytes:?}");
                prop_assert!(bytes.start <= at && at <= bytes.end, "{at} in {bytes:?}: {hover:?}");
            }
            if let Some((entry, found)) = page.complete(at) {
                let bytes = entry.bytes(found.span);
                let word = text.get(bytes.clone());
                prop_assert!(word.is_some_and(|word| !word.contains(['\r', '\n'])), "{bytes:?}");
                prop_assert!(bytes.start <= at && at <= bytes.end, "{at} in {bytes:?}");
            }
        }
    }
}

/// What a hand or an ear would stumble over at the token itself.
const STUMBLES: [&str; 11] = [
    "off-strike",
    "extra-strike",
    "thumb-crosses",
    "thumb-on-first",
    "wrong-way",
    "slur-from-nothing",
    "off-the-neck",
    "same-string-twice",
    "hard-reach",
    "nothing-to-hold",
    "unreadable",
];

#[test]
fn what_is_offered_is_easy_to_play() {
    let settings = Arc::new(Settings::default());
    for seed in 0..6 {
        let text = tunes::tune(seed, 500, Trouble::None);
        let page = Page::read(&text, &settings);
        let entry = page.entries().next().unwrap();
        for slot in entry.reading.written().source.slots.iter().step_by(3) {
            let typed = &text[..slot.span.start as usize];
            let found = Page::read(typed, &settings);
            let Some((_, found)) = found.complete(typed.len()) else { panic!("nothing after {typed}") };
            for item in found.items.iter().filter(|item| item.kind == CompletionKind::Slot) {
                check(&typed[..found.span.start as usize], item, &settings);
            }
        }
    }
}

#[track_caller]
fn check(typed: &str, item: &Completion, settings: &Arc<Settings>) {
    let text = format!("{typed}{}", item.text);
    let token = Span::new(typed.len() as u32, text.len() as u32);
    let page = Page::read(&text, settings);
    let stumbles = |rule: &str| STUMBLES.contains(&rule);
    let found =
        page.findings().find(|(_, found)| found.span.overlaps(token) && stumbles(found.rule.rule().name));
    if let Some((_, found)) = found {
        panic!("{} after\n{typed}\n{}", item.text, found.message);
    }
}
