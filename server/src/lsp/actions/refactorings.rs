//! The same music written otherwise.

use lope_desk::{Entry, Offer};
use tower_lsp::lsp_types::{CodeAction, CodeActionDisabled, CodeActionKind};

use super::asked::Asked;
use crate::lsp::edits::workspace_edit;

/// What refactorings offer for the selection, where it is in one tune. A client that shows why something
/// cannot be done is told of that too, but only where the player has asked for refactorings.
pub fn refactorings(asked: &Asked<'_>) -> Vec<CodeAction> {
    let entry = asked.view.page().entry_at(asked.bytes.start);
    let whole = |entry: &Entry<'_>| asked.bytes.end <= entry.bytes_of_all().end && !asked.automatic;
    let Some(entry) = entry.filter(whole) else { return Vec::new() };
    let offers = entry.reading.refactorings(entry.span_in(&asked.bytes), |kind| asked.wants(kind));
    offers.filter_map(|(kind, offer)| action(asked, entry, kind, offer)).collect()
}

fn action(asked: &Asked<'_>, entry: Entry<'_>, kind: &'static str, offer: Offer) -> Option<CodeAction> {
    let view = asked.view;
    let action =
        CodeAction { title: offer.title, kind: Some(CodeActionKind::new(kind)), ..CodeAction::default() };
    match offer.edits {
        Ok(edits) => {
            let edits = edits.iter().map(|edit| view.text_edit(entry.offset, edit)).collect();
            Some(CodeAction { edit: Some(workspace_edit(view, edits)), ..action })
        }
        Err(reason) if view.features.shows_refusals && asked.only.is_some() => {
            Some(CodeAction { disabled: Some(CodeActionDisabled { reason }), ..action })
        }
        Err(_) => None,
    }
}
