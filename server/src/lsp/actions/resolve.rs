//! Actions whose edits are made only when they are chosen.

use lope_desk::{Scope, rule};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use tower_lsp::lsp_types::{CodeAction, Url};

use crate::lsp::edits::mends;
use crate::lsp::snapshot::View;

/// What is kept with an action so that its edits can be made later.
#[derive(Serialize, Deserialize)]
struct Later {
    /// The file to mend.
    uri: Url,
    /// The rule to mend the findings of; none for all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rule: Option<String>,
}

/// What to keep with an action that mends the file in `view`: the findings of `rule`, or all.
pub fn later(view: View<'_>, rule: Option<&str>) -> Option<Value> {
    serde_json::to_value(Later { uri: view.url.clone(), rule: rule.map(str::to_owned) }).ok()
}

/// The file whose edits an action still lacks, if it is one of ours.
pub fn to_resolve(action: &CodeAction) -> Option<Url> {
    let later = action.data.clone().filter(|_| action.edit.is_none())?;
    serde_json::from_value::<Later>(later).ok().map(|later| later.uri)
}

/// `action` with its edits.
pub fn resolve(view: View<'_>, action: CodeAction) -> CodeAction {
    let later = action.data.clone().and_then(|later| serde_json::from_value::<Later>(later).ok());
    let named = later.and_then(|later| later.rule);
    let scope = match named.as_deref() {
        Some(name) => rule(name).map(Scope::Rule),
        None => Some(Scope::All),
    };
    let edit = scope.and_then(|scope| mends(view, scope)).unwrap_or_default();
    CodeAction { edit: Some(edit), data: None, ..action }
}
