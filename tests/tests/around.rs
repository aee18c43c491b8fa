//! What holds for getting around in any text: whatever is asked at whatever place.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::ops::Range;
use std::sync::Arc;

use lope_desk::{Edit, Entry, Page, Typed, apply};
use lope_tests::soup;
use lope_tune::play;
use proptest::prelude::*;
use proptest::sample::Index;

fn read(text: &str) -> Page {
    Page::read(text, &Arc::default())
}

/// A place between two characters.
fn place(text: &str, at: Index) -> usize {
    let places: Vec<usize> = text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
    places[at.index(places.len())]
}

/// Whether every span lies in the text of the tune, between characters.
fn fits(entry: Entry<'_>, spans: impl IntoIterator<Item = lope_desk::Span>) -> bool {
    spans.into_iter().all(|span| entry.reading.text().get(Range::from(span)).is_some())
}

/// Whether two texts are the same music, tune by tune.
fn same_music(one: &Page, other: &Page) -> bool {
    let tunes = |page: &Page| page.entries().map(|entry| entry.reading.tune().clone()).collect::<Vec<_>>();
    tunes(one) == tunes(other)
}

proptest! {
    #[test]
    fn what_belongs_together_is_in_the_text(text in soup::file(), at: Index) {
        let (page, at) = (read(&text), place(&text, at));
        if let Some((entry, highlights)) = page.highlights(at) {
            prop_assert!(fits(entry, highlights.iter().map(|highlight| highlight.span)));
        }
        for (entry, fold) in page.folds() {
            prop_assert!(fits(entry, [fold.span]));
            prop_assert!(fold.span.of(entry.reading.text()).contains(['\r', '\n']));
        }
        for (entry, link) in page.links() {
            prop_assert_eq!(link.span.of(entry.reading.text()), link.address);
        }
    }

    #[test]
    fn a_selection_grows_until_it_is_the_file(text in soup::file(), at: Index) {
        let (page, at) = (read(&text), place(&text, at));
        let steps = page.selections(at);
        prop_assert!(steps[0].start <= at && at <= steps[0].end);
        prop_assert!(steps.iter().all(|step| text.get(step.clone()).is_some()));
        for pair in steps.windows(2) {
            prop_assert!(pair[1].start <= pair[0].start && pair[0].end <= pair[1].end);
            prop_assert!(pair[0] != pair[1]);
        }
        prop_assert_eq!(steps.last(), Some(&(0..text.len())));
    }

    #[test]
    fn colours_are_in_a_row_and_a_stretch_has_its_share_of_them(text in soup::text(), at: Index, to: Index) {
        let page = read(&text);
        let (start, end) = (place(&text, at), place(&text, to));
        for entry in page.entries() {
            let tune = entry.reading.text();
            let all = entry.reading.paints(0..tune.len() as u32);
            let mut done = 0;
            for paint in &all {
                prop_assert!(done <= paint.span.start && !paint.span.is_empty());
                prop_assert!(fits(entry, [paint.span]));
                prop_assert!(!paint.span.of(tune).contains(['\r', '\n']));
                done = paint.span.end;
            }
            let local = |at: usize| at.clamp(entry.offset, entry.offset + tune.len()) - entry.offset;
            let (start, end) = (local(start.min(end)) as u32, local(start.max(end)) as u32);
            let part = entry.reading.paints(start..end);
            let there = |span: lope_desk::Span| span.start <= end && start <= span.end;
            prop_assert!(part.iter().all(|paint| all.contains(paint)));
            prop_assert!(all.iter().filter(|paint| there(paint.span)).all(|paint| part.contains(paint)));
        }
    }

    #[test]
    fn a_new_name_leaves_the_music_and_goes_back(text in soup::file(), at: Index) {
        let (page, at) = (read(&text), place(&text, at));
        let Some((entry, naming)) = page.naming(at) else { return Ok(()) };
        prop_assert!(fits(entry, naming.uses.iter().map(|used| used.span)));
        prop_assert!(naming.uses.iter().any(|used| used.span == naming.here));
        let Ok(edits) = entry.reading.rename(&naming, "brand-new") else {
            prop_assert!(text.contains("brand-new"));
            return Ok(());
        };
        let renamed = apply(entry.reading.text(), &edits);
        let again = read(&renamed);
        let now = again.entries().next().unwrap().reading;
        prop_assert_eq!(play(now.tune()).notes, play(entry.reading.tune()).notes);
        let back = now.naming(edits[0].span.start).unwrap();
        prop_assert_eq!(back.uses.len(), naming.uses.len());
        // A call can have a name that no heading can give, and that nobody is offered.
        if !naming.name.starts_with(':') {
            let back = now.rename(&back, &naming.name).map(|edits| apply(&renamed, &edits));
            prop_assert_eq!(back.as_deref(), Ok(entry.reading.text()));
        }
    }

    #[test]
    fn tidying_a_stretch_or_while_typing_changes_blanks_only(text in soup::file(), at: Index, to: Index) {
        let (page, at, to) = (read(&text), place(&text, at), place(&text, to));
        let stretch = at.min(to)..at.max(to);
        let edits = page.tidy_edits_in(stretch.clone());
        prop_assert!(edits.iter().all(|edit| stretch.start <= start(edit) && end(edit) <= stretch.end));
        prop_assert!(same_music(&read(&apply(&text, &edits)), &page));
        for (typed, token) in [(Typed::BarLine, "|"), (Typed::LineBreak, "\n")] {
            let after = text[at..].find(token).map_or(at, |found| at + found + 1);
            let edits = page.typed(typed, after);
            prop_assert!(edits.iter().all(|edit| end(edit) < after));
            prop_assert!(edits.windows(2).all(|pair| end(&pair[0]) <= start(&pair[1])));
            prop_assert!(same_music(&read(&apply(&text, &edits)), &page));
        }
    }
}

fn start(edit: &Edit) -> usize {
    edit.span.start as usize
}

fn end(edit: &Edit) -> usize {
    edit.span.end as usize
}
