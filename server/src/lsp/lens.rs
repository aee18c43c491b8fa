//! What is told above each part.

use lope_desk::Entry;
use serde::{Deserialize, Serialize};
use tower_lsp::lsp_types::{CodeLens, Command, Url};

use super::commands::MEND_PART;
use super::snapshot::View;

/// What is kept with a lens so that its words can be found when it comes into view.
#[derive(Serialize, Deserialize)]
struct Later {
    uri: Url,
    /// The title of the tune.
    tune: String,
    part: String,
}

/// A lens above each part of the file, its words still to be found.
pub fn lenses(view: View<'_>) -> Vec<CodeLens> {
    let lenses = view.page().entries().flat_map(|entry| {
        entry.reading.parts().map(move |(part, heading)| {
            let later = Later { uri: view.url.clone(), tune: title(entry).to_owned(), part: part.to_owned() };
            let range = view.range(entry.bytes(heading));
            CodeLens { range, command: None, data: serde_json::to_value(later).ok() }
        })
    });
    lenses.collect()
}

fn title<'s>(entry: Entry<'s>) -> &'s str {
    &entry.reading.tune().header.title
}

/// The file of a lens, if it is one of ours.
pub fn to_resolve(lens: &CodeLens) -> Option<Url> {
    serde_json::from_value::<Later>(lens.data.clone()?).ok().map(|later| later.uri)
}

/// `lens` with its words, and the command that mends its part. One whose part has gone says so, until the
/// client asks again.
pub fn resolve(view: View<'_>, mut lens: CodeLens) -> CodeLens {
    let later = lens.data.take().and_then(|later| serde_json::from_value::<Later>(later).ok());
    let Some(Later { uri, tune, part }) = later else { return lens };
    let entries = || view.page().entries().filter(|entry| title(*entry) == tune);
    // Tunes may have one title: the one that stands where the lens does is meant.
    let here = view.offset(lens.range.start);
    let near = |entry: &Entry<'_>| entry.offset.abs_diff(here);
    let outlook = entries().min_by_key(|entry| {
        let starts = entry.offset <= here && here <= entry.bytes_of_all().end;
        (!starts, near(entry))
    });
    let outlook = outlook.and_then(|entry| entry.reading.outlook(&part));
    let words = outlook.map_or_else(|| format!("part {part} is gone"), |outlook| outlook.words());
    let arguments = Some(vec![uri.as_str().into(), tune.into(), part.into()]);
    lens.command = Some(Command { title: words, command: MEND_PART.to_owned(), arguments });
    lens
}
