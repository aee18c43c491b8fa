//! Requests made anew where the service could not read them as they come.
//!
//! A client that says one thing of itself in a way nobody knows should be served as one that does not say it,
//! and not refused: some clients do, in capabilities that are of no interest here.

use serde_json::{Map, Value, json};
use tower_lsp::jsonrpc::Request;
use tower_lsp::lsp_types::InitializeParams;

/// `request` so that the service can read it; and what had to be left out of it, in words for the log.
pub fn readable(request: Request) -> (Request, Vec<String>) {
    match request.method() {
        "shutdown" => (without_params(request), Vec::new()),
        "initialize" => greeting(request),
        _ => (request, Vec::new()),
    }
}

/// `request` as the service wants one that has no parameters: some clients send `null` all the same.
fn without_params(request: Request) -> Request {
    let (method, id, _) = request.into_parts();
    let bare = Request::build(method);
    id.into_iter().fold(bare, |bare, id| bare.id(id)).finish()
}

/// The first request, without what a client says of itself that is not as the protocol has it.
fn greeting(request: Request) -> (Request, Vec<String>) {
    let (method, id, params) = request.into_parts();
    let mut left_out = Vec::new();
    let mut params = params.unwrap_or_default();
    if let Some(params) = params.as_object_mut() {
        let capabilities = params.entry("capabilities").or_insert_with(|| json!({}));
        name_diagnostics(capabilities);
        keep_readable(capabilities, &mut left_out);
        params.retain(|name, said| {
            let alone = Value::Object(Map::from_iter([(name.clone(), said.clone())]));
            is_readable(alone, &format!("{name} of initialize"), &mut left_out)
        });
        params.entry("capabilities").or_insert_with(|| json!({}));
    }
    let readable = Request::build(method).params(params);
    (id.into_iter().fold(readable, |readable, id| readable.id(id)).finish(), left_out)
}

/// The one capability that lsp-types (0.94) does not call by the protocol's name, `workspace.diagnostics`, by the
/// name it has there.
fn name_diagnostics(capabilities: &mut Value) {
    if let Some(workspace) = capabilities.get_mut("workspace").and_then(Value::as_object_mut)
        && let Some(diagnostics) = workspace.remove("diagnostics")
    {
        workspace.insert("diagnostic".to_owned(), diagnostics);
    }
}

/// Leaves out of `capabilities` those that cannot be read: each by itself, so that the others stay.
fn keep_readable(capabilities: &mut Value, left_out: &mut Vec<String>) {
    for (group, said) in capabilities.as_object_mut().into_iter().flatten() {
        if let Some(said) = said.as_object_mut() {
            said.retain(|name, one| {
                let alone = json!({ "capabilities": { group: { name: one } } });
                is_readable(alone, &format!("the capability {group}.{name}"), left_out)
            });
        }
    }
}

/// Whether `params` can be read as those of the first request.
fn is_readable(mut params: Value, what: &str, left_out: &mut Vec<String>) -> bool {
    if let Some(params) = params.as_object_mut() {
        params.entry("capabilities").or_insert_with(|| json!({}));
    }
    let read = serde_json::from_value::<InitializeParams>(params);
    let problem = read.err().map(|error| format!("{what} counts as not said: {error}"));
    let is_readable = problem.is_none();
    left_out.extend(problem);
    is_readable
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Checks what becomes of the parameters of the first request, and how much is left out.
    #[track_caller]
    fn check(said: Value, expected: &Value, left_out: usize) {
        let request = Request::build("initialize").id(1).params(said).finish();
        let (request, problems) = readable(request);
        assert_eq!(request.params(), Some(expected));
        assert_eq!(problems.len(), left_out, "{problems:?}");
        assert!(serde_json::from_value::<InitializeParams>(expected.clone()).is_ok());
    }

    #[test]
    fn what_is_not_as_the_protocol_has_it_is_left_out_alone() {
        let hover = json!({ "contentFormat": ["markdown"] });
        check(
            json!({ "capabilities": { "textDocument": { "hover": hover, "callHierarchy": [{}], "rename": 7 } } }),
            &json!({ "capabilities": { "textDocument": { "hover": hover } } }),
            2,
        );
        check(
            json!({ "processId": "me", "rootUri": "::", "trace": "loud", "capabilities": { "window": 7 } }),
            &json!({ "capabilities": {} }),
            4,
        );
        check(json!({ "processId": null }), &json!({ "processId": null, "capabilities": {} }), 0);
    }

    #[test]
    fn diagnostics_are_called_as_the_types_call_them() {
        let named =
            |name: &str| json!({ "capabilities": { "workspace": { name: { "refreshSupport": true } } } });
        check(named("diagnostics"), &named("diagnostic"), 0);
    }
}
