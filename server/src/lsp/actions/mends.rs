//! Mends: of one finding, of all findings of its rule, of all there are.

use lope_desk::{Finding, Mend, Scope};
use tower_lsp::lsp_types::{CodeAction, CodeActionKind, Diagnostic};

use super::asked::Asked;
use super::resolve::later;
use super::{FIX_ALL, FIX_RULE};
use crate::lsp::edits::{mends, workspace_edit};
use crate::lsp::findings::diagnostic;
use crate::lsp::snapshot::View;

/// Each way to mend a finding that is asked about. One that mends several is offered once.
pub fn quick_fixes(asked: &Asked<'_>) -> Vec<CodeAction> {
    let mut fixes: Vec<CodeAction> = Vec::new();
    for (entry, finding) in asked.findings() {
        let diagnostic = diagnostic(asked.view, entry, finding);
        let mends = entry.reading.mends(finding);
        let preferred = mends.iter().position(|mend| mend.safe);
        for (number, mend) in mends.into_iter().enumerate() {
            let fix = quick_fix(asked.view, entry.offset, mend, &diagnostic, preferred == Some(number));
            match fixes.iter_mut().find(|other| other.title == fix.title && other.edit == fix.edit) {
                Some(same) => {
                    same.is_preferred = same.is_preferred.max(fix.is_preferred);
                    same.diagnostics.get_or_insert_default().push(diagnostic.clone());
                }
                None => fixes.push(fix),
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

/// For each rule with a finding that is asked about and can be mended safely: all safe mends of its findings
/// in the file, where it has found more than one thing.
pub fn of_one_rule(asked: &Asked<'_>) -> Vec<CodeAction> {
    let mut seen: Vec<&Finding> = Vec::new();
    let mut actions = Vec::new();
    for (entry, finding) in asked.findings() {
        let safe = || entry.reading.mends(finding).iter().any(|mend| mend.safe);
        if seen.iter().any(|other| other.rule == finding.rule) || !safe() {
            continue;
        }
        seen.push(finding);
        let alike = asked.view.page().findings().filter(|(_, other)| other.rule == finding.rule);
        if alike.take(2).count() < 2 {
            continue;
        }
        let name = finding.rule.rule().name;
        let action = CodeAction {
            title: format!("mend every {name} of the file that can be with the same music"),
            kind: Some(FIX_RULE),
            diagnostics: Some(vec![diagnostic(asked.view, entry, finding)]),
            is_preferred: Some(false),
            ..CodeAction::default()
        };
        actions.extend(complete(asked, action, Scope::Rule(finding.rule)));
    }
    actions
}

/// All safe mends in the file. Where they are not asked for by name, they are offered where one of them is
/// among `others`: editors ask at every move of the cursor.
pub fn all(asked: &Asked<'_>, others: &[CodeAction]) -> Option<CodeAction> {
    // Only ever one of the two names, since a client would make both.
    let kind =
        [CodeActionKind::SOURCE_FIX_ALL, FIX_ALL].into_iter().find(|kind| asked.wants(kind.as_str()))?;
    if asked.only.is_none() && !others.iter().any(|action| action.is_preferred == Some(true)) {
        return None;
    }
    let title = "mend all that keeps the music".to_owned();
    complete(asked, CodeAction { title, kind: Some(kind), ..CodeAction::default() }, Scope::All)
}

/// `action` with the mends of `scope`, or with what it takes to make them when it is chosen: to make every mend
/// of a file takes a while, so it is not done for a client that asks for nothing in particular.
fn complete(asked: &Asked<'_>, action: CodeAction, scope: Scope<'_>) -> Option<CodeAction> {
    let view = asked.view;
    if asked.only.is_some() {
        return Some(CodeAction { edit: Some(mends(view, scope)?), ..action });
    }
    let rule = match scope {
        Scope::Rule(rule) => Some(rule.rule().name),
        Scope::All | Scope::Part { .. } => None,
    };
    view.features.resolves_edits.then(|| CodeAction { data: later(view, rule), ..action })
}
