//! What each capability of a server lets an editor send.

use std::collections::BTreeSet;

use serde_json::Value;

/// Each capability, by its path, and the methods it offers (Language Server Protocol 3.17).
pub const OFFERS: &[(&str, &[&str])] = &[
    ("/codeActionProvider", &["textDocument/codeAction"]),
    ("/codeActionProvider/resolveProvider", &["codeAction/resolve"]),
    ("/codeLensProvider", &["textDocument/codeLens"]),
    ("/codeLensProvider/resolveProvider", &["codeLens/resolve"]),
    ("/completionProvider", &["textDocument/completion"]),
    ("/completionProvider/resolveProvider", &["completionItem/resolve"]),
    ("/definitionProvider", &["textDocument/definition"]),
    ("/diagnosticProvider", &["textDocument/diagnostic"]),
    ("/diagnosticProvider/workspaceDiagnostics", &["workspace/diagnostic"]),
    ("/documentFormattingProvider", &["textDocument/formatting"]),
    ("/documentHighlightProvider", &["textDocument/documentHighlight"]),
    ("/documentLinkProvider", &["textDocument/documentLink"]),
    ("/documentOnTypeFormattingProvider", &["textDocument/onTypeFormatting"]),
    ("/documentRangeFormattingProvider", &["textDocument/rangeFormatting"]),
    ("/documentSymbolProvider", &["textDocument/documentSymbol"]),
    ("/executeCommandProvider", &["workspace/executeCommand"]),
    ("/foldingRangeProvider", &["textDocument/foldingRange"]),
    ("/hoverProvider", &["textDocument/hover"]),
    ("/inlayHintProvider", &["textDocument/inlayHint"]),
    ("/inlayHintProvider/resolveProvider", &["inlayHint/resolve"]),
    ("/referencesProvider", &["textDocument/references"]),
    ("/renameProvider", &["textDocument/rename"]),
    ("/renameProvider/prepareProvider", &["textDocument/prepareRename"]),
    ("/selectionRangeProvider", &["textDocument/selectionRange"]),
    ("/semanticTokensProvider/full", &["textDocument/semanticTokens/full"]),
    ("/semanticTokensProvider/full/delta", &["textDocument/semanticTokens/full/delta"]),
    ("/semanticTokensProvider/range", &["textDocument/semanticTokens/range"]),
    ("/textDocumentSync/change", &["textDocument/didChange"]),
    ("/textDocumentSync/openClose", &["textDocument/didOpen", "textDocument/didClose"]),
    ("/textDocumentSync/save", &["textDocument/didSave"]),
    ("/workspace/fileOperations/didCreate", &["workspace/didCreateFiles"]),
    ("/workspace/fileOperations/didDelete", &["workspace/didDeleteFiles"]),
    ("/workspace/fileOperations/didRename", &["workspace/didRenameFiles"]),
    ("/workspace/workspaceFolders/changeNotifications", &["workspace/didChangeWorkspaceFolders"]),
    ("/workspaceSymbolProvider", &["workspace/symbol"]),
];

/// Parts of a server's capabilities that say how, and offer nothing by themselves.
const MANNERS: &[&str] = &[
    "/codeActionProvider/codeActionKinds",
    "/completionProvider/triggerCharacters",
    "/diagnosticProvider/interFileDependencies",
    "/documentOnTypeFormattingProvider/firstTriggerCharacter",
    "/documentOnTypeFormattingProvider/moreTriggerCharacter",
    "/executeCommandProvider/commands",
    "/positionEncoding",
    "/semanticTokensProvider/legend",
    "/workspace/workspaceFolders/supported",
];

/// The paths in a server's `capabilities` that offer something, whether [`OFFERS`] knows them or not.
pub fn announced(capabilities: &Value) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    collect(capabilities, String::new(), &mut found);
    found
}

fn collect(value: &Value, path: String, found: &mut BTreeSet<String>) {
    if MANNERS.contains(&path.as_str()) || value.is_null() || *value == Value::Bool(false) {
        return;
    }
    let known = OFFERS.iter().any(|(known, _)| *known == path);
    match value {
        // A part that only holds others offers nothing by itself.
        Value::Object(parts) => {
            if known || parts.is_empty() {
                found.insert(path.clone());
            }
            let inner = parts.iter().filter(|_| !path.starts_with("/workspace/fileOperations/"));
            inner.for_each(|(name, part)| collect(part, format!("{path}/{name}"), found));
        }
        _ => drop(found.insert(path)),
    }
}
