//! Comments that keep a finding.

use lope_desk::{Entry, RuleId, Span, rule};
use tower_lsp::lsp_types::{CodeAction, Diagnostic};

use super::KEEP;
use super::asked::Asked;
use crate::lsp::edits::workspace_edit;
use crate::lsp::findings::diagnostic;
use crate::lsp::index::SAME_TITLE;

/// For each finding that is asked about, a comment that keeps it: the writer has to say why.
pub fn keeps(asked: &Asked<'_>) -> Vec<CodeAction> {
    let own = asked.findings().filter_map(|(entry, finding)| {
        keep(asked, entry, finding.rule, finding.span, || diagnostic(asked.view, entry, finding))
    });
    let titles = asked.shared_titles();
    let shared = titles
        .into_iter()
        .filter_map(|(entry, title, said)| keep(asked, entry, rule(SAME_TITLE)?, title, || said));
    let mut once: Vec<CodeAction> = Vec::new();
    for keep in own.chain(shared) {
        match once.iter_mut().find(|other| other.title == keep.title && other.edit == keep.edit) {
            Some(same) => {
                same.diagnostics.get_or_insert_default().extend(keep.diagnostics.unwrap_or_default())
            }
            None => once.push(keep),
        }
    }
    once
}

/// The comment that keeps what `rule` finds at `span` of a tune, which is `said` so.
fn keep(
    asked: &Asked<'_>,
    entry: Entry<'_>,
    rule: RuleId,
    span: Span,
    said: impl FnOnce() -> Diagnostic,
) -> Option<CodeAction> {
    let edit = entry.reading.keep(rule, span)?;
    Some(CodeAction {
        title: format!("keep {} here, with a reason", rule.rule().name),
        kind: Some(KEEP),
        diagnostics: Some(vec![said()]),
        edit: Some(workspace_edit(asked.view, vec![asked.view.text_edit(entry.offset, &edit)])),
        is_preferred: Some(false),
        ..CodeAction::default()
    })
}
