//! The shape of a text: what folds, what a selection grows to, what is a link.

use lope_desk::{Entry, Fold, FoldKind};
use tower_lsp::lsp_types::{
    DocumentLink, FoldingRange, FoldingRangeKind, Position, Range, SelectionRange, Url,
};

use super::snapshot::View;

/// What folds: by whole lines where the client knows no other way, and no more than it likes to have.
pub fn folds(view: View<'_>) -> Vec<FoldingRange> {
    let mut folds: Vec<(Entry<'_>, Fold)> = view.page().folds().collect();
    if let Some(limit) = view.features.most_folds.filter(|limit| *limit < folds.len()) {
        folds.sort_by_key(|(_, fold)| fold.kind);
        folds.truncate(limit);
    }
    let folding_range = |(entry, fold): (Entry<'_>, Fold)| {
        let Range { start, end } = view.range(entry.bytes(fold.span));
        let character = |position: Position| (!view.features.folds_lines).then_some(position.character);
        FoldingRange {
            start_line: start.line,
            start_character: character(start),
            end_line: end.line,
            end_character: character(end),
            kind: (fold.kind == FoldKind::Comments).then_some(FoldingRangeKind::Comment),
            collapsed_text: None,
        }
    };
    folds.into_iter().map(folding_range).collect()
}

/// What a selection at each of `positions` grows to, step by step.
pub fn selections(view: View<'_>, positions: &[Position]) -> Vec<SelectionRange> {
    positions.iter().map(|position| selection(view, *position)).collect()
}

fn selection(view: View<'_>, position: Position) -> SelectionRange {
    let steps = view.page().selections(view.offset(position)).into_iter().rev();
    let grown = steps.fold(None, |parent: Option<SelectionRange>, bytes| {
        Some(SelectionRange { range: view.range(bytes), parent: parent.map(Box::new) })
    });
    // There is always a step, and the client wants an answer for each position.
    grown.unwrap_or(SelectionRange { range: Range::new(position, position), parent: None })
}

/// The addresses in fields.
pub fn links(view: View<'_>) -> Vec<DocumentLink> {
    let links = view.page().links().filter_map(|(entry, link)| {
        let tooltip = view.features.link_tooltips.then(|| format!("open the {} of this tune", link.field));
        Some(DocumentLink {
            range: view.range(entry.bytes(link.span)),
            target: Some(Url::parse(&link.address).ok()?),
            tooltip,
            data: None,
        })
    });
    links.collect()
}
