//! Whole sessions held against the protocol: the shape of every message in both directions, and that nothing
//! is said to an editor that has not said it can take it.

use std::collections::BTreeSet;

use lope_tests::editor::{By, Options, Said};
use lope_tests::outside::ask;
use lope_tests::session::{OFFERS, Recorded, Session, announced};
use serde_json::{Map, Value, json};

use super::able;

/// What an editor sends besides what it is offered.
const UNOFFERED: [&str; 9] = [
    "$/cancelRequest",
    "$/setTrace",
    "exit",
    "initialize",
    "initialized",
    "shutdown",
    "window/workDoneProgress/cancel",
    "workspace/didChangeConfiguration",
    "workspace/didChangeWatchedFiles",
];

/// What the server says by itself, and what an editor must be able to do to hear it.
const SAYS: [(&str, &str); 11] = [
    ("$/progress", ""),
    ("client/registerCapability", ""),
    ("textDocument/publishDiagnostics", ""),
    ("window/logMessage", ""),
    ("window/showMessage", ""),
    ("window/workDoneProgress/create", "/window/workDoneProgress"),
    ("workspace/applyEdit", "/workspace/applyEdit"),
    ("workspace/codeLens/refresh", "/workspace/codeLens/refreshSupport"),
    ("workspace/configuration", "/workspace/configuration"),
    ("workspace/diagnostic/refresh", "/workspace/diagnostics/refreshSupport"),
    ("workspace/inlayHint/refresh", "/workspace/inlayHint/refreshSupport"),
];

/// The methods of messages that `by` began.
fn methods(said: &[Said], by: By) -> BTreeSet<&str> {
    said.iter().filter(|said| said.by == by).filter_map(|said| said.message["method"].as_str()).collect()
}

/// The methods of requests that had at least one answer with something in it.
fn fruitful(said: &[Said]) -> BTreeSet<&str> {
    let answers = said.iter().filter(|said| said.by == By::Server && is_fruitful(&said.message["result"]));
    let asked = |answer: &Said| {
        let is_it = |said: &&Said| said.by == By::Client && said.message["id"] == answer.message["id"];
        said.iter().filter(is_it).find_map(|said| said.message["method"].as_str())
    };
    answers.filter_map(asked).collect()
}

fn is_fruitful(result: &Value) -> bool {
    match result {
        Value::Array(items) => !items.is_empty(),
        Value::Object(parts) => parts.values().any(|part| is_fruitful(part) || part.is_number()),
        result => !result.is_null(),
    }
}

/// Holds every message against the protocol; but what a `preset` has editors say of themselves is what it is.
fn agree(sessions: &[(String, Recorded)], preset: bool) {
    let session = |recorded: &Recorded| {
        let said: Value = recorded.said.iter().map(Said::to_json).collect();
        json!({ "preset": preset, "said": said })
    };
    let sessions: Map<String, Value> =
        sessions.iter().map(|(name, recorded)| (name.clone(), session(recorded))).collect();
    ask("protocol", &Value::Object(sessions));
}

#[test]
fn all_that_is_offered_is_used_and_every_message_is_as_the_protocol_has_it() {
    let recorded = Session::run(able());
    let offers: BTreeSet<String> = OFFERS.iter().map(|(pointer, _)| (*pointer).to_owned()).collect();
    assert_eq!(announced(&recorded.offered), offers);
    let offered: BTreeSet<&str> = OFFERS.iter().flat_map(|(_, methods)| methods.iter().copied()).collect();
    let sent = methods(&recorded.said, By::Client);
    assert_eq!(sent, offered.iter().copied().chain(UNOFFERED).collect());
    let said = methods(&recorded.said, By::Server);
    // To an editor that asks for findings only mistakes in the settings are sent, and those are there.
    assert_eq!(said, SAYS.iter().map(|(method, _)| *method).collect());

    let dry: Vec<&str> = requests(&recorded).difference(&fruitful(&recorded.said)).copied().collect();
    assert_eq!(dry, ["shutdown", "workspace/executeCommand"], "asked in vain");
    let commands: BTreeSet<&str> = executed(&recorded).collect();
    let known = recorded.offered["executeCommandProvider"]["commands"].as_array().unwrap();
    assert_eq!(commands, known.iter().filter_map(Value::as_str).collect());
    agree(&[("an editor that can do all".to_owned(), recorded)], false);
}

fn requests(recorded: &Recorded) -> BTreeSet<&str> {
    let requests = recorded.said.iter().filter(|said| said.by == By::Client);
    let requests = requests.filter(|said| said.message.get("id").is_some());
    requests.filter_map(|said| said.message["method"].as_str()).collect()
}

fn executed(recorded: &Recorded) -> impl Iterator<Item = &str> {
    let asked = recorded.said.iter().filter(|said| said.message["method"] == "workspace/executeCommand");
    asked.filter_map(|said| said.message["params"]["command"].as_str())
}

#[test]
fn editors_as_they_are_hear_only_what_they_can_take() {
    let presets: Value = serde_json::from_str(&ask("presets", &Value::Null)).unwrap();
    let presets = presets.as_object().unwrap();
    for editor in ["emacs", "neovim", "visual_studio_code"] {
        assert!(presets.keys().any(|name| name.starts_with(editor)), "{editor}: {:?}", presets.keys());
    }
    let as_they_are = presets.iter().map(|(name, preset)| (name.clone(), preset["capabilities"].clone()));
    let bare = [("one that says nothing of itself".to_owned(), json!({}))];
    let mut sessions = Vec::new();
    for (name, capabilities) in as_they_are.chain(bare) {
        let options = Options { capabilities, name: Some(name.clone()), ..Options::default() };
        let capabilities = options.capabilities.clone();
        let recorded = Session::run(options);
        for said in methods(&recorded.said, By::Server) {
            let (_, needed) = SAYS.iter().find(|(method, _)| *method == said).unwrap();
            let can = needed.is_empty() || capabilities.pointer(needed) == Some(&json!(true));
            assert!(can, "{name} cannot take {said}");
        }
        for method in registered(&recorded) {
            let pointer = format!("/{}/dynamicRegistration", method.as_str().unwrap());
            assert_eq!(capabilities.pointer(&pointer), Some(&json!(true)), "{name} cannot be asked that");
        }
        assert_eq!(recorded.offered["positionEncoding"], encoding(&capabilities), "{name}");
        sessions.push((name, recorded));
    }
    agree(&sessions, true);
}

/// The methods that the editor was asked to send from then on.
fn registered(recorded: &Recorded) -> impl Iterator<Item = &Value> {
    let asked = recorded.said.iter().filter(|said| said.message["method"] == "client/registerCapability");
    let lists = asked.filter_map(|said| said.message["params"]["registrations"].as_array());
    lists.flatten().map(|registration| &registration["method"])
}

/// The encoding that suits an editor: bytes where it knows them.
fn encoding(capabilities: &Value) -> &str {
    let known = capabilities.pointer("/general/positionEncodings").and_then(Value::as_array);
    let knows_bytes = known.is_some_and(|known| known.contains(&json!("utf-8")));
    if knows_bytes { "utf-8" } else { "utf-16" }
}
