//! The tunes of a file and their parts, as document symbols.

use lope_desk::{Entry, Symbol, SymbolKind};
use tower_lsp::lsp_types::{
    self as protocol, DocumentSymbol, DocumentSymbolResponse, Location, SymbolInformation,
};

use super::snapshot::View;

/// The symbols of the file: one inside another where the client shows that, else in a row.
pub fn symbols(view: View<'_>) -> DocumentSymbolResponse {
    let found = view.page().symbols();
    if view.features.nested_symbols {
        return DocumentSymbolResponse::Nested(
            found.map(|(entry, symbol)| nested(view, entry, symbol)).collect(),
        );
    }
    let mut row = Vec::new();
    found.for_each(|(entry, symbol)| flatten(view, entry, symbol, None, &mut row));
    DocumentSymbolResponse::Flat(row)
}

#[expect(deprecated, reason = "a field that has a successor, but no default")]
fn nested(view: View<'_>, entry: Entry<'_>, symbol: Symbol) -> DocumentSymbol {
    let children: Vec<_> = symbol.children.into_iter().map(|child| nested(view, entry, child)).collect();
    DocumentSymbol {
        kind: kind(symbol.kind),
        // The protocol wants a name that is not empty.
        name: if symbol.name.is_empty() { "tune".to_owned() } else { symbol.name },
        detail: Some(symbol.detail),
        range: view.range(entry.bytes(symbol.whole)),
        selection_range: view.range(entry.bytes(symbol.heading)),
        children: Some(children).filter(|children| !children.is_empty()),
        tags: None,
        deprecated: None,
    }
}

#[expect(deprecated, reason = "a field that has a successor, but no default")]
fn flatten(
    view: View<'_>,
    entry: Entry<'_>,
    symbol: Symbol,
    inside: Option<&str>,
    row: &mut Vec<SymbolInformation>,
) {
    row.push(SymbolInformation {
        kind: kind(symbol.kind),
        name: symbol.name.clone(),
        location: Location::new(view.url.clone(), view.range(entry.bytes(symbol.whole))),
        container_name: inside.map(str::to_owned),
        tags: None,
        deprecated: None,
    });
    for child in symbol.children {
        flatten(view, entry, child, Some(&symbol.name), row);
    }
}

/// The protocol has no kinds for music: these are the ones whose signs in editors tell the four apart.
pub const fn kind(kind: SymbolKind) -> protocol::SymbolKind {
    match kind {
        SymbolKind::Tune => protocol::SymbolKind::CLASS,
        SymbolKind::Part => protocol::SymbolKind::METHOD,
        SymbolKind::Ending => protocol::SymbolKind::FIELD,
        SymbolKind::Phrase => protocol::SymbolKind::FUNCTION,
        SymbolKind::Melody => protocol::SymbolKind::STRING,
    }
}
