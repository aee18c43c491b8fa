//! Mends, as code actions.

use std::collections::HashMap;

use lope_desk::Mend;
use serde_json::Value;
use tower_lsp::lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionParams, CodeActionResponse, Diagnostic,
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, Range, TextDocumentEdit, TextEdit, Url,
    WorkspaceEdit,
};

use super::findings::diagnostic;
use super::snapshot::View;

/// All safe mends at once, by a name that is only ours.
pub const FIX_ALL: CodeActionKind = CodeActionKind::new("source.fixAll.lope");

/// What can be done about the findings in a range, of the kinds that are asked for.
pub fn actions(view: View<'_>, params: &CodeActionParams) -> CodeActionResponse {
    let only = params.context.only.as_deref();
    let mut actions = Vec::new();
    if wants(only, &CodeActionKind::QUICKFIX) {
        actions = quick_fixes(view, params.range);
    }
    match fix_all_kind(only) {
        // Editors ask at every move of the cursor, and to make every mend of a file takes a while.
        Some(kind) if only.is_none() => {
            let worth_it = view.features.resolves_edits && actions.iter().any(is_preferred);
            actions.extend(worth_it.then(|| fix_all_to_resolve(view, kind)));
        }
        Some(kind) => actions.extend(fix_all(view, kind)),
        None => {}
    }
    actions.into_iter().map(CodeActionOrCommand::CodeAction).collect()
}

/// The file whose edits an action still lacks, if it is one of ours.
pub fn to_resolve(action: &CodeAction) -> Option<Url> {
    let data = action.data.as_ref().filter(|_| action.edit.is_none())?;
    data.as_str().and_then(|url| Url::parse(url).ok())
}

/// `action` with its edits.
pub fn resolve(view: View<'_>, action: CodeAction) -> CodeAction {
    let edit = workspace_edit(view, all_edits(view));
    CodeAction { edit: Some(edit), data: None, ..action }
}

/// Whether a client that asks for `only` wants to hear of `kind`: a kind it names holds those below it.
fn wants(only: Option<&[CodeActionKind]>, kind: &CodeActionKind) -> bool {
    let holds = |wanted: &CodeActionKind| {
        let below = kind.as_str().strip_prefix(wanted.as_str());
        wanted.as_str().is_empty() || below.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    };
    only.is_none_or(|only| only.iter().any(holds))
}

/// The name to give to all mends at once; only ever one, since a client would make both.
fn fix_all_kind(only: Option<&[CodeActionKind]>) -> Option<CodeActionKind> {
    [CodeActionKind::SOURCE_FIX_ALL, FIX_ALL].into_iter().find(|kind| wants(only, kind))
}

fn fix_all(view: View<'_>, kind: CodeActionKind) -> Option<CodeAction> {
    let edits = all_edits(view);
    let edit = (!edits.is_empty()).then(|| workspace_edit(view, edits))?;
    Some(CodeAction { edit: Some(edit), data: None, ..fix_all_to_resolve(view, kind) })
}

fn fix_all_to_resolve(view: View<'_>, kind: CodeActionKind) -> CodeAction {
    CodeAction {
        title: "mend all that keeps the music".to_owned(),
        kind: Some(kind),
        data: Some(Value::from(view.url.as_str())),
        ..CodeAction::default()
    }
}

fn all_edits(view: View<'_>) -> Vec<TextEdit> {
    view.page().mend_edits().iter().map(|edit| view.text_edit(0, edit)).collect()
}

fn is_preferred(action: &CodeAction) -> bool {
    action.is_preferred == Some(true)
}

/// Each way to mend a finding that touches `range`. One that mends several is offered once.
fn quick_fixes(view: View<'_>, range: Range) -> Vec<CodeAction> {
    let asked = view.bytes(range);
    let touches = |bytes: std::ops::Range<usize>| bytes.start <= asked.end && asked.start <= bytes.end;
    let mut fixes: Vec<CodeAction> = Vec::new();
    let sheets = view.page().sheets();
    for sheet in sheets.filter(|sheet| touches(sheet.offset..sheet.offset + sheet.reading.text().len())) {
        for finding in sheet.reading.findings() {
            if !touches(sheet.bytes(finding.span)) {
                continue;
            }
            let diagnostic = diagnostic(view, sheet, finding);
            let mends = sheet.reading.mends(finding);
            let preferred = mends.iter().position(|mend| mend.safe);
            for (number, mend) in mends.into_iter().enumerate() {
                let fix = quick_fix(view, sheet.offset, mend, &diagnostic, preferred == Some(number));
                match fixes.iter_mut().find(|other| other.title == fix.title && other.edit == fix.edit) {
                    Some(same) => {
                        same.is_preferred = same.is_preferred.max(fix.is_preferred);
                        same.diagnostics.get_or_insert_default().push(diagnostic.clone());
                    }
                    None => fixes.push(fix),
                }
            }
        }
    }
    fixes
}

fn quick_fix(
    view: View<'_>,
    offset: usize,
    mend: Mend,
    diagnostic: &Diagnostic,
    preferred: bool,
) -> CodeAction {
    let edits = mend.edits.iter().map(|edit| view.text_edit(offset, edit)).collect();
    CodeAction {
        title: mend.title,
        kind: Some(CodeActionKind::QUICKFIX),
        diagnostics: Some(vec![diagnostic.clone()]),
        edit: Some(workspace_edit(view, edits)),
        is_preferred: Some(preferred),
        ..CodeAction::default()
    }
}

/// `edits` of the file: of this version only, where the client can hold them to it.
fn workspace_edit(view: View<'_>, edits: Vec<TextEdit>) -> WorkspaceEdit {
    if !view.features.versioned_edits {
        return WorkspaceEdit::new(HashMap::from([(view.url.clone(), edits)]));
    }
    let version = Some(view.snapshot.document.version);
    let text_document = OptionalVersionedTextDocumentIdentifier { uri: view.url.clone(), version };
    let edits = edits.into_iter().map(OneOf::Left).collect();
    let changes = DocumentChanges::Edits(vec![TextDocumentEdit { text_document, edits }]);
    WorkspaceEdit { document_changes: Some(changes), ..WorkspaceEdit::default() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_holds_those_below_it() {
        let only = |kind: &'static str| Some(vec![CodeActionKind::new(kind)]);
        let fix_all = |only: Option<Vec<CodeActionKind>>| fix_all_kind(only.as_deref());
        assert_eq!(fix_all(None), Some(CodeActionKind::SOURCE_FIX_ALL));
        assert_eq!(fix_all(only("")), Some(CodeActionKind::SOURCE_FIX_ALL));
        assert_eq!(fix_all(only("source")), Some(CodeActionKind::SOURCE_FIX_ALL));
        assert_eq!(fix_all(only("source.fixAll")), Some(CodeActionKind::SOURCE_FIX_ALL));
        assert_eq!(fix_all(only("source.fixAll.lope")), Some(FIX_ALL));
        assert_eq!(fix_all(only("source.fix")), None);
        assert_eq!(fix_all(only("source.fixAll.other")), None);
        assert_eq!(fix_all(only("quickfix")), None);
        assert_eq!(fix_all(Some(Vec::new())), None);
        assert!(wants(only("quickfix").as_deref(), &CodeActionKind::QUICKFIX));
        assert!(!wants(only("refactor").as_deref(), &CodeActionKind::QUICKFIX));
    }
}
