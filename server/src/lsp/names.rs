//! The names of parts and phrases: where they are given, where they are used, and how they change.

use lope_desk::{Entry, Naming, Use};
use tower_lsp::jsonrpc::{Error, ErrorCode};
use tower_lsp::lsp_types::{
    DocumentHighlight, DocumentHighlightKind, GotoDefinitionResponse, Location, LocationLink, Position,
    PrepareRenameResponse, TextEdit, WorkspaceEdit,
};

use super::edits::workspace_edit;
use super::snapshot::View;

/// What the protocol calls a request that is fine but cannot be done: `RequestFailed` of version 3.17.
const REQUEST_FAILED: i64 = -32803;

/// The heading that gives the name at a position.
pub fn definition(view: View<'_>, position: Position) -> Option<GotoDefinitionResponse> {
    let (entry, naming) = naming(view, position)?;
    let (name, whole) = entry.reading.given(&naming)?;
    let [here, name, whole] = [naming.here, name, whole].map(|span| view.range(entry.bytes(span)));
    let url = view.url.clone();
    Some(if view.features.linked_definitions {
        GotoDefinitionResponse::Link(vec![LocationLink {
            origin_selection_range: Some(here),
            target_uri: url,
            target_range: whole,
            target_selection_range: name,
        }])
    } else {
        GotoDefinitionResponse::Scalar(Location::new(url, name))
    })
}

/// Every use of the name at a position, its headings among them where `headings` says so.
pub fn references(view: View<'_>, position: Position, headings: bool) -> Option<Vec<Location>> {
    let (entry, naming) = naming(view, position)?;
    let uses = naming.uses.iter().filter(|place| headings || !place.gives);
    let location = |place: &Use| Location::new(view.url.clone(), view.range(entry.bytes(place.span)));
    Some(uses.map(location).collect())
}

/// The name at a position that a rename would change.
pub fn prepare_rename(view: View<'_>, position: Position) -> Option<PrepareRenameResponse> {
    let (entry, Naming { here, name, .. }) = naming(view, position)?;
    let range = view.range(entry.bytes(here));
    Some(PrepareRenameResponse::RangeWithPlaceholder { range, placeholder: name })
}

/// The edits that make the name at a position `name`.
///
/// # Errors
/// When there is no name, or it cannot become `name`.
pub fn rename(view: View<'_>, position: Position, name: &str) -> Result<WorkspaceEdit, Error> {
    let refused = |message: String| Error {
        code: ErrorCode::ServerError(REQUEST_FAILED),
        message: message.into(),
        data: None,
    };
    let nothing = || refused("there is nothing to rename here: only parts and phrases have names".to_owned());
    let (entry, naming) = naming(view, position).ok_or_else(nothing)?;
    let edits = entry.reading.rename(&naming, name).map_err(refused)?;
    let edits = edits
        .into_iter()
        .map(|edit| TextEdit { range: view.range(entry.bytes(edit.span)), new_text: edit.text });
    Ok(workspace_edit(view, edits.collect()))
}

/// What belongs with the text at a position: the uses of a name, the notes of a string, the plant of a thumb
/// note. The protocol's `Write` marks what the others rest on, as it does a value that others read.
pub fn highlights(view: View<'_>, position: Position) -> Option<Vec<DocumentHighlight>> {
    let (entry, highlights) = view.page().highlights(view.offset(position))?;
    let highlights = highlights.into_iter().map(|highlight| DocumentHighlight {
        range: view.range(entry.bytes(highlight.span)),
        kind: Some(if highlight.begins { DocumentHighlightKind::WRITE } else { DocumentHighlightKind::READ }),
    });
    Some(highlights.collect())
}

fn naming(view: View<'_>, position: Position) -> Option<(Entry<'_>, Naming)> {
    view.page().naming(view.offset(position))
}
