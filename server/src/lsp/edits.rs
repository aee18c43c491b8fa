//! Edits of a file, as the protocol wants them.

use std::collections::HashMap;

use lope_desk::Scope;
use tower_lsp::lsp_types::{
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, TextDocumentEdit, TextEdit,
    WorkspaceEdit,
};

use super::snapshot::View;

/// `edits` of the file: of this version only, where the client can hold them to it.
pub fn workspace_edit(view: View<'_>, edits: Vec<TextEdit>) -> WorkspaceEdit {
    if !view.features.versioned_edits {
        return WorkspaceEdit::new(HashMap::from([(view.url.clone(), edits)]));
    }
    let version = Some(view.snapshot.document.version);
    let text_document = OptionalVersionedTextDocumentIdentifier { uri: view.url.clone(), version };
    let edits = edits.into_iter().map(OneOf::Left).collect();
    let changes = DocumentChanges::Edits(vec![TextDocumentEdit { text_document, edits }]);
    WorkspaceEdit { document_changes: Some(changes), ..WorkspaceEdit::default() }
}

/// The safe mends of what `scope` holds in the file; none where there are none.
pub fn mends(view: View<'_>, scope: Scope<'_>) -> Option<WorkspaceEdit> {
    let edits = view.page().mend_edits(scope);
    let edits: Vec<TextEdit> = edits.iter().map(|edit| view.text_edit(0, edit)).collect();
    (!edits.is_empty()).then(|| workspace_edit(view, edits))
}
