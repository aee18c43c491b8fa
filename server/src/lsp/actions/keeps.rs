//! Comments that keep a finding.

use tower_lsp::lsp_types::CodeAction;

use super::KEEP;
use super::asked::Asked;
use crate::lsp::edits::workspace_edit;
use crate::lsp::findings::diagnostic;

/// For each finding that is asked about, a comment that keeps it: the writer has to say why.
pub fn keeps(asked: &Asked<'_>) -> Vec<CodeAction> {
    let view = asked.view;
    let keeps = asked.findings().filter_map(|(sheet, finding)| {
        let edit = sheet.reading.keep(finding)?;
        Some(CodeAction {
            title: format!("keep {} here, with a reason", finding.rule.rule().name),
            kind: Some(KEEP),
            diagnostics: Some(vec![diagnostic(view, sheet, finding)]),
            edit: Some(workspace_edit(view, vec![view.text_edit(sheet.offset, &edit)])),
            is_preferred: Some(false),
            ..CodeAction::default()
        })
    });
    let mut once: Vec<CodeAction> = Vec::new();
    for keep in keeps {
        match once.iter_mut().find(|other| other.title == keep.title && other.edit == keep.edit) {
            Some(same) => {
                same.diagnostics.get_or_insert_default().extend(keep.diagnostics.unwrap_or_default())
            }
            None => once.push(keep),
        }
    }
    once
}
