//! Hints within the text, and the settings that say which.

use lope_tests::editor::{Document, Editor, Options, range};
use serde_json::{Value, json};

const TUNE: &str = "\
tune: The Half Rung Bell
meter: 6/8

part A
| 3:0 t 2:0  2:1 t 2:3 | @stair | 3:0 t 2:0  1:0 t |

phrase stair
| 3:0 h2 2:0  2:1 t 1:0 |
";

/// The hints in a range of lines, as `line:character words`.
fn hints(editor: &mut Editor, document: &Document, lines: (u32, u32)) -> Vec<String> {
    let found = ask(editor, document, lines);
    let said = found.iter().map(|hint| {
        let position = &hint["position"];
        let label = match &hint["label"] {
            Value::Array(parts) => parts[0]["value"].clone(),
            label => label.clone(),
        };
        format!("{}:{} {}", position["line"], position["character"], label.as_str().unwrap())
    });
    said.collect()
}

fn ask(editor: &mut Editor, document: &Document, lines: (u32, u32)) -> Vec<Value> {
    let range = range((lines.0, 0), (lines.1, 0));
    let params = json!({ "textDocument": document.id(), "range": range });
    editor.request("textDocument/inlayHint", params).as_array().unwrap().clone()
}

fn open(options: Options) -> (Editor, Document) {
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", TUNE);
    (editor, document)
}

const USUAL: [&str; 6] =
    ["4:2 1", "4:13 4", "4:31 3:0 h2 2:0 2:1 t 1:0", "4:34 1", "4:45 4", "4:50 1 eighth short"];

#[test]
fn counts_times_and_phrases_are_shown_where_they_are_asked_for() {
    let (mut editor, document) = open(Options::default());
    assert_eq!(hints(&mut editor, &document, (0, 5)), USUAL);
    assert_eq!(hints(&mut editor, &document, (5, 9)), ["7:2 1", "7:14 4"]);
    assert_eq!(hints(&mut editor, &document, (0, 4)), [""; 0]);
    assert_eq!(hints(&mut editor, &document, (50, 90)), [""; 0]);
}

#[test]
fn settings_that_come_with_the_handshake_count() {
    let at_start = json!({ "lope": { "hints": { "counts": false, "time": false } } });
    let mut options = Options { at_start, ..Options::default() };
    options.capabilities["workspace"]["configuration"] = json!(false);
    let (mut editor, document) = open(options);
    assert_eq!(hints(&mut editor, &document, (0, 5)), [USUAL[2]]);
    editor.set(json!({ "hints": { "time": true } }));
    assert_eq!(
        hints(&mut editor, &document, (0, 5)),
        [USUAL[2], USUAL[5]],
        "what is left out is as it was said"
    );
}

#[test]
fn settings_are_asked_for() {
    let mut options = Options { settings: json!({ "hints": { "counts": false } }), ..Options::default() };
    options.capabilities["workspace"]["inlayHint"] = json!({ "refreshSupport": true });
    let mut editor = Editor::spawn(options);
    editor.initialize();
    editor.notify("initialized", json!({}));
    let asked = editor.wait(|message| message["method"] == "workspace/configuration");
    assert_eq!(asked["params"]["items"], json!([{ "section": "lope" }]));
    editor.wait(|message| message["method"] == "workspace/inlayHint/refresh");
    let document = editor.open("untitled:tune", TUNE);
    assert_eq!(hints(&mut editor, &document, (0, 5)), [USUAL[2], USUAL[5]]);
}

#[test]
fn settings_that_change_count_from_then_on_and_hints_are_asked_for_again() {
    for asked in [true, false] {
        let mut options = Options::default();
        options.capabilities["workspace"]["configuration"] = json!(asked);
        options.capabilities["workspace"]["inlayHint"] = json!({ "refreshSupport": true });
        options.capabilities["workspace"]["codeLens"] = json!({ "refreshSupport": true });
        options.capabilities["workspace"]["didChangeConfiguration"] = json!({ "dynamicRegistration": true });
        let (mut editor, document) = open(options);
        let registered = editor.wait(|message| message["method"] == "client/registerCapability");
        assert_eq!(registered["params"]["registrations"][0]["method"], "workspace/didChangeConfiguration");
        editor.set(json!({ "hints": { "counts": false, "pitch": true, "time": "loud" } }));
        editor.wait(|message| message["method"] == "workspace/inlayHint/refresh");
        editor.wait(|message| message["method"] == "workspace/codeLens/refresh");
        let found = hints(&mut editor, &document, (4, 5));
        assert_eq!(found[..2], ["4:5 G3", "4:7 G4"]);
        assert_eq!(found.last().unwrap(), USUAL[5], "what is no switch is left as it was");
        editor.wait_for_log("lope.hints.time is true or false, not \"loud\"");
    }
}

#[test]
fn an_editor_that_does_not_say_its_settings_is_served_all_the_same() {
    let (mut editor, document) = open(Options { answers: false, ..Options::default() });
    assert_eq!(hints(&mut editor, &document, (0, 5)), USUAL);
}

#[test]
fn what_else_there_is_to_say_is_said_when_it_is_wanted() {
    let resolved = {
        let mut options = Options::default();
        let properties = json!({ "properties": ["tooltip", "label.location"] });
        options.capabilities["textDocument"]["inlayHint"] = json!({ "resolveSupport": properties });
        let (mut editor, document) = open(options);
        let lazy = ask(&mut editor, &document, (0, 5));
        assert!(lazy.iter().all(|hint| hint["tooltip"].is_null() && hint["label"].is_string()));
        lazy.into_iter().map(|hint| editor.request("inlayHint/resolve", hint)).collect::<Vec<_>>()
    };
    let (mut editor, document) = open(Options::default());
    assert_eq!(ask(&mut editor, &document, (0, 5)), resolved);
    assert_eq!(resolved[0]["tooltip"], Value::Null);
    assert_eq!(resolved[2]["tooltip"], "3:0 h2 2:0  2:1 t 1:0");
    let place = json!({ "uri": document.uri, "range": range((6, 0), (6, 12)) });
    assert_eq!(resolved[2]["label"][0]["location"], place);
    assert!(resolved[5]["tooltip"].as_str().unwrap().starts_with("part A, bar 3"));
}
