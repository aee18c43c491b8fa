//! How the server ends: when it should, and with the status the protocol names.

use std::process::{Command, Stdio};

use lope_tests::editor::{Editor, Options};
use serde_json::{Value, json};

use super::{STUMBLE, with};

#[test]
fn exit_after_shutdown_is_a_success() {
    assert_eq!(Editor::start(Options::default()).stop().code(), Some(0));
    assert_eq!(with(STUMBLE).0.stop().code(), Some(0));
}

#[test]
fn exit_without_shutdown_is_none() {
    let mut editor = Editor::start(Options::default());
    editor.notify("exit", Value::Null);
    assert_eq!(editor.ended().code(), Some(1));
    let mut editor = Editor::spawn(Options::default());
    editor.notify("exit", Value::Null);
    assert_eq!(editor.ended().code(), Some(1));
}

#[test]
fn shutdown_may_have_any_parameters_or_none() {
    for params in [Value::Null, json!({}), json!([])] {
        let mut editor = Editor::start(Options::default());
        assert_eq!(editor.request("shutdown", params), Value::Null);
    }
}

#[test]
fn after_shutdown_questions_are_refused() {
    let (mut editor, document) = with(STUMBLE);
    editor.request("shutdown", Value::Null);
    let error = editor.ask("textDocument/hover", document.at(4, 3)).unwrap_err();
    assert_eq!(error["code"], -32600);
    editor.notify("exit", Value::Null);
    assert_eq!(editor.ended().code(), Some(0));
}

#[test]
fn the_last_answer_is_sent_before_the_end() {
    let mut editor = Editor::start(Options::default());
    let id = editor.send("shutdown", Value::Null);
    editor.notify("exit", Value::Null);
    assert_eq!(editor.answer(id), Ok(Value::Null));
    assert_eq!(editor.ended().code(), Some(0));
}

#[test]
fn at_the_end_of_input_it_leaves() {
    let (mut editor, document) = with(STUMBLE);
    editor.send("textDocument/hover", document.at(4, 3));
    editor.hang_up();
    assert_eq!(editor.ended().code(), Some(1));

    let mut editor = Editor::start(Options::default());
    editor.request("shutdown", Value::Null);
    editor.hang_up();
    assert_eq!(editor.ended().code(), Some(0));
}

#[test]
fn at_the_end_of_input_it_leaves_though_the_client_owes_an_answer() {
    let mut options = Options { answers: false, ..Options::default() };
    options.capabilities["workspace"]["didChangeWatchedFiles"] = json!({ "dynamicRegistration": true });
    let mut editor = Editor::start(options);
    editor.wait(|message| message["method"] == "client/registerCapability");
    editor.hang_up();
    assert_eq!(editor.ended().code(), Some(1));
}

#[test]
fn it_leaves_with_the_process_the_client_named() {
    let mut parent = Command::new("sleep").arg("1000").stdin(Stdio::null()).spawn().unwrap();
    let mut editor = Editor::start(Options { process: Some(parent.id()), ..Options::default() });
    assert!(editor.lives());
    parent.kill().unwrap();
    // Nobody has asked how it ended yet: that it is over must be enough.
    assert_eq!(editor.ended().code(), Some(1));
    parent.wait().unwrap();
}

#[test]
fn it_stays_with_a_client_that_names_no_process() {
    let mut editor = Editor::start(Options { process: None, ..Options::default() });
    editor.request("shutdown", Value::Null);
    assert!(editor.lives());
}
