//! Fixtures: `$0` in a tune is the cursor, two of them are the ends of the selection.

use std::sync::Arc;

use lope_rules::apply;
use lope_syntax::Span;

use super::Offer;
use crate::Reading;

/// What refactorings of `kind` offer for the selection marked in `fixture`, and the tune without marks.
pub fn offers(kind: &str, fixture: &str) -> (Reading, Vec<Offer>) {
    let pieces: Vec<&str> = fixture.split("$0").collect();
    let start = pieces[0].len();
    let end = match pieces.len() {
        2 => start,
        3 => start + pieces[1].len(),
        _ => panic!("expected a cursor or a selection in\n{fixture}"),
    };
    let reading = Reading::new(pieces.concat(), &Arc::default());
    let selection = Span::new(start as u32, end as u32);
    let offers = reading.refactorings(selection, |other| other == kind).map(|(_, offer)| offer).collect();
    (reading, offers)
}

/// Checks that of the offers of `kind` the one whose title starts with `title` makes `expected` of the tune.
#[track_caller]
pub fn check(kind: &str, fixture: &str, title: &str, expected: &str) {
    let (reading, offers) = offers(kind, fixture);
    let titles: Vec<&str> = offers.iter().map(|offer| offer.title.as_str()).collect();
    let Some(offer) = offers.iter().find(|offer| offer.title.starts_with(title)) else {
        panic!("no offer {title:?} among {titles:?}")
    };
    let edits = offer.edits.as_ref().unwrap_or_else(|reason| panic!("{title} is refused: {reason}"));
    assert_eq!(apply(reading.text(), edits), expected);
}

/// Checks that the offer of `kind` whose title starts with `title` is refused for a reason with `words` in it.
#[track_caller]
pub fn check_refused(kind: &str, fixture: &str, title: &str, words: &str) {
    let (_, offers) = offers(kind, fixture);
    let offer = offers.iter().find(|offer| offer.title.starts_with(title));
    let Some(Offer { edits: Err(reason), .. }) = offer else { panic!("not refused: {offers:?}") };
    assert!(reason.contains(words), "{reason}");
}

/// Checks that nothing of `kind` is offered.
#[track_caller]
pub fn check_none(kind: &str, fixture: &str) {
    assert_eq!(offers(kind, fixture).1, []);
}
