//! Commands that mend, by an edit the server asks for.

use lope_tests::editor::{Document, Editor, Options};
use serde_json::{Value, json};

use super::{CLEAN, STUMBLE, lenses, make_edits};

fn open(text: &str) -> (Editor, Document) {
    let mut options = Options::default();
    options.capabilities["workspace"]["applyEdit"] = json!(true);
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", text);
    (editor, document)
}

fn execute(editor: &mut Editor, command: &str, arguments: Value) -> Result<Value, Value> {
    editor.ask("workspace/executeCommand", json!({ "command": command, "arguments": arguments }))
}

/// Makes the edit that the server asks for next; the codes of what is found then.
fn mended(editor: &mut Editor, document: &mut Document) -> Vec<Value> {
    let asked = editor.wait(|message| message["method"] == "workspace/applyEdit");
    let edits = asked["params"]["edit"]["changes"][&document.uri].as_array().unwrap().clone();
    make_edits(editor, document, &edits);
    editor.diagnostics(document).iter().map(|found| found["code"].clone()).collect()
}

/// Two tunes that stumble, the second with a short bar as well.
fn troubles() -> String {
    format!("{STUMBLE}\n{}", STUMBLE.replace("Loose", "Other").replace("1:0- - |", "1:0- |"))
}

#[test]
fn a_lens_mends_its_part() {
    let (mut editor, mut document) = open(&troubles());
    let lenses = lenses::lenses(&mut editor, &document);
    let command = &lenses[1]["command"];
    let arguments = command["arguments"].clone();
    assert_eq!(execute(&mut editor, command["command"].as_str().unwrap(), arguments), Ok(Value::Null));
    assert_eq!(mended(&mut editor, &mut document), ["off-strike"], "that of the first tune is left");
}

#[test]
fn a_file_or_one_rule_is_mended() {
    let (mut editor, mut document) = open(&troubles());
    execute(&mut editor, "lope.mendRule", json!([document.uri, "off-strike"])).unwrap();
    assert_eq!(mended(&mut editor, &mut document), ["short-bar"]);
    execute(&mut editor, "lope.mendFile", json!([document.uri])).unwrap();
    assert_eq!(mended(&mut editor, &mut document), [""; 0]);
}

#[test]
fn where_nothing_can_be_done_the_player_is_told() {
    let (mut editor, document) = open(CLEAN);
    execute(&mut editor, "lope.mendFile", json!([document.uri])).unwrap();
    let told = editor.wait(|message| message["method"] == "window/showMessage");
    assert!(told["params"]["message"].as_str().unwrap().contains("nothing"), "{told}");
    let mut editor = Editor::start(Options::default());
    editor.open("untitled:tune", STUMBLE);
    execute(&mut editor, "lope.mendFile", json!(["untitled:tune"])).unwrap();
    let told = editor.wait(|message| message["method"] == "window/showMessage");
    assert!(told["params"]["message"].as_str().unwrap().contains("quick fix"), "{told}");
}

#[test]
fn what_is_no_command_is_an_error() {
    let (mut editor, document) = open(CLEAN);
    for (command, arguments) in [
        ("lope.play", json!([document.uri])),
        ("lope.mendFile", json!([7])),
        ("lope.mendFile", json!(["untitled:elsewhere"])),
        ("lope.mendRule", json!([document.uri, "nobody"])),
    ] {
        let error = execute(&mut editor, command, arguments).unwrap_err();
        assert_eq!(error["code"], -32602, "{error}");
    }
    assert_eq!(editor.actions(&document, lope_tests::editor::range((0, 0), (0, 0)), &[]), [Value::Null; 0]);
}

#[test]
fn an_editor_that_never_answers_holds_up_nothing() {
    let mut options = Options { answers: false, ..Options::default() };
    options.capabilities["workspace"]["applyEdit"] = json!(true);
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", STUMBLE);
    for _ in 0..8 {
        assert_eq!(execute(&mut editor, "lope.mendFile", json!([document.uri])), Ok(Value::Null));
    }
    assert_eq!(lenses::lenses(&mut editor, &document).len(), 1);
}
