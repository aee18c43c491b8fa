//! The tunes, parts and phrases of many files, as workspace symbols.

use std::ops::Range;

use lope_desk::{Found, Page, Sheet};
use tower_lsp::lsp_types::{self as protocol, Location, SymbolInformation, Url};

use super::snapshot::View;
use super::symbols::kind;

/// Those of an open file whose names fit `query`.
pub fn search(view: View<'_>, query: &str) -> Vec<SymbolInformation> {
    found(view.page(), query, view.url, |bytes| view.range(bytes)).collect()
}

/// Those of the file at `url` whose names fit `query`; `range` says where its bytes are.
#[expect(deprecated, reason = "a field that has a successor, but no default")]
pub fn found(
    page: &Page,
    query: &str,
    url: &Url,
    range: impl Fn(Range<usize>) -> protocol::Range,
) -> impl Iterator<Item = SymbolInformation> {
    page.search(query).map(move |(sheet, found): (Sheet<'_>, Found)| SymbolInformation {
        kind: kind(found.symbol.kind),
        location: Location::new(url.clone(), range(sheet.bytes(found.symbol.heading))),
        name: found.symbol.name,
        container_name: found.inside,
        tags: None,
        deprecated: None,
    })
}
