//! The tunes, parts and phrases of many files, as workspace symbols.

use std::sync::Arc;

use lope_desk::{SymbolKind, fits};
use tokio::task::spawn_blocking;
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::{Location, Range, SymbolInformation, Url};

use super::session::Session;
use super::snapshot::View;
use super::symbols::kind;

/// The most that are told of: editors show a few dozen, and ask again with every letter.
const MOST: usize = 500;

/// A tune, part or phrase as it is remembered of a file that is not open: all a search looks at, without the
/// text. Those in a tune follow it.
pub struct Heading {
    kind: SymbolKind,
    name: Box<str>,
    range: Range,
}

/// All tunes, parts and phrases whose names fit `query`, in open files and in open folders: those that have it
/// in one piece first, tunes before what is in them.
pub async fn search(session: &Arc<Session>, query: String) -> Result<Vec<SymbolInformation>> {
    let asked = query.clone();
    let open = session.ask_all(move |view| in_open_file(view, &asked)).await?;
    let session = Arc::clone(session);
    let job = spawn_blocking(move || {
        let mut found = open.concat();
        session.index.search(&query, &mut found);
        closest(found, &query)
    });
    job.await.map_err(|_| Error::internal_error())
}

/// What a search can find in what is in view, which stands at `line` of its file.
pub fn headings(view: View<'_>, line: u32) -> impl Iterator<Item = Heading> {
    view.page().search("").map(move |(entry, found)| {
        let mut range = view.range(entry.bytes(found.symbol.heading));
        range.start.line += line;
        range.end.line += line;
        Heading { kind: found.symbol.kind, name: found.symbol.name.into_boxed_str(), range }
    })
}

/// Those of `headings`, all of the file at `url`, whose names fit `query`.
pub fn among<'h>(
    headings: &'h [Heading],
    url: &'h Url,
    query: &'h str,
) -> impl Iterator<Item = SymbolInformation> + 'h {
    let mut tune = None;
    headings.iter().filter_map(move |heading| {
        if heading.kind == SymbolKind::Tune {
            tune = Some(&heading.name);
        }
        let inside = tune.filter(|_| heading.kind != SymbolKind::Tune);
        fits(&heading.name, query).then(|| {
            let place = Location::new(url.clone(), heading.range);
            symbol(heading.kind, heading.name.to_string(), inside.map(|tune| tune.to_string()), place)
        })
    })
}

fn in_open_file(view: View<'_>, query: &str) -> Vec<SymbolInformation> {
    let found = view.page().search(query).map(|(entry, found)| {
        let place = Location::new(view.url.clone(), view.range(entry.bytes(found.symbol.heading)));
        symbol(found.symbol.kind, found.symbol.name, found.inside, place)
    });
    found.collect()
}

#[expect(deprecated, reason = "a field that has a successor, but no default")]
fn symbol(of: SymbolKind, name: String, inside: Option<String>, place: Location) -> SymbolInformation {
    let (kind, tags, deprecated) = (kind(of), None, None);
    SymbolInformation { name, kind, tags, deprecated, location: place, container_name: inside }
}

/// As many of `found` as are told of, the closest to `query` first.
fn closest(mut found: Vec<SymbolInformation>, query: &str) -> Vec<SymbolInformation> {
    let wanted = query.trim().to_lowercase();
    let is_tune = |symbol: &SymbolInformation| symbol.kind == kind(SymbolKind::Tune);
    found.sort_by_cached_key(|symbol| (!symbol.name.to_lowercase().contains(&wanted), !is_tune(symbol)));
    found.truncate(MOST);
    found
}
