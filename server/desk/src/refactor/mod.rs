//! The same music written otherwise: one refactoring a file, and the list of them.

mod again;
mod extract;
mod gait;
mod heard;
mod inline;
mod join;
mod order;
mod other_string;
mod retune;
mod row;
mod run;
mod scene;
mod slot;
mod split;
mod tab;
#[cfg(test)]
mod testing;

use lope_rules::Edit;
use lope_syntax::Span;

pub use run::RunRequest;
use scene::Scene;

use crate::Reading;

/// A kind of rewriting, and what it offers for a selection.
pub struct Refactoring {
    /// Its kind in the protocol's manner: dots between a kind and those below it.
    pub kind: &'static str,
    offers: fn(&Scene<'_>) -> Vec<Offer>,
}

/// A rewriting offered for a selection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// What it does, as a command: `make bars 3 to 4 a phrase`.
    pub title: String,
    /// Its edits of the tune's text, in order; or why it cannot be done here.
    pub edits: Result<Vec<Edit>, String>,
}

/// Every refactoring.
pub static REFACTORINGS: &[&Refactoring] = &[
    &other_string::REFACTORING,
    &again::REFACTORING,
    &extract::REFACTORING,
    &inline::REFACTORING,
    &gait::REFACTORING,
    &split::REFACTORING,
    &join::REFACTORING,
    &slot::REFACTORING,
    &retune::TUNING,
    &retune::CAPO,
    &run::REFACTORING,
    &run::STRAIGHT,
    &tab::REFACTORING,
];

/// The longest tune that is offered any, in bytes: some 3,000 bars, more than anyone plays. Most offers read
/// the whole tune anew, which has to be quick while a player waits for a menu.
const LONGEST: usize = 1 << 16;

impl Reading {
    /// What can be done with `selection`, a cursor where it is empty, by refactorings whose kind is `wanted`.
    /// Nothing in a text that is longer than any tune.
    pub fn refactorings(
        &self,
        selection: Span,
        wanted: impl Fn(&str) -> bool,
    ) -> impl Iterator<Item = (&'static str, Offer)> {
        let scene = Scene::new(self, selection);
        let is_tune = self.text().len() <= LONGEST;
        let wanted = REFACTORINGS.iter().filter(move |refactoring| is_tune && wanted(refactoring.kind));
        wanted.flat_map(move |refactoring| {
            (refactoring.offers)(&scene).into_iter().map(|offer| (refactoring.kind, offer))
        })
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    #[test]
    fn a_text_longer_than_any_tune_is_left_alone() {
        let offers = |bars: usize| {
            let text = "tune: T\nmeter: 6/8\npart A\n".to_owned() + &"| 3:0- - 2:0- - |\n".repeat(bars);
            let reading = Reading::new(text, &Arc::default());
            let bar = reading.written().source.bars[1].span;
            reading.refactorings(bar, |_| true).count()
        };
        assert_eq!((offers(3), offers(5_000)), (7, 0));
    }
}
