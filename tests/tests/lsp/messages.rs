//! What comes over the pipe, well-formed or not.

use lope_tests::editor::{Editor, Options, frame};
use serde_json::{Value, json};

use super::{STUMBLE, with};

/// A request whose answer shows that the server goes on.
fn is_answered(editor: &mut Editor) {
    let document = editor.open("untitled:still-there", STUMBLE);
    assert_eq!(editor.diagnostics(&document).len(), 1);
}

#[test]
fn what_is_no_message_is_passed_over() {
    let deep = format!(r#"{{"jsonrpc":"2.0","id":9,"method":"x","params":{}}}"#, "[".repeat(30_000));
    let bodies: [&[u8]; 9] = [
        b"",
        b"{",
        b"null",
        b"[]",
        b"{\"jsonrpc\":\"1.0\",\"method\":\"x\"}",
        b"{\"jsonrpc\":\"2.0\",\"id\":{},\"method\":\"x\"}",
        b"{\"jsonrpc\":\"2.0\",\"method\":\"\xff\xfe\"}",
        b"{\"jsonrpc\":\"2.0\",\"method\":\"x\",\"params\":1e999}",
        deep.as_bytes(),
    ];
    let mut editor = Editor::start(Options::default());
    for body in bodies {
        editor.raw(&frame(body));
    }
    is_answered(&mut editor);
    for _ in bodies {
        editor.wait_for_log("passed over what is no message");
    }
}

#[test]
fn what_is_no_frame_is_passed_over() {
    let mut editor = Editor::start(Options::default());
    editor.raw(b"hello?\r\n\r\n");
    editor.raw(b"Content-Length: a lot\r\n\r\n{}");
    editor.raw(b"Content-Length: -1\r\n\r\n");
    editor.raw(b"Content-Length: 99999999999999999999\r\n\r\n");
    is_answered(&mut editor);
}

#[test]
fn a_wrong_length_costs_one_message_at_most() {
    let body = r#"{"jsonrpc":"2.0","id":71,"method":"$/nobody"}"#;
    for wrong in [body.len() - 5, body.len() + 5, body.len() + 50] {
        let mut editor = Editor::start(Options::default());
        editor.raw(format!("Content-Length: {wrong}\r\n\r\n{body}").as_bytes());
        is_answered(&mut editor);
    }
}

#[test]
fn headers_come_in_any_case_and_number() {
    let mut editor = Editor::start(Options::default());
    let body = r#"{"jsonrpc":"2.0","id":70,"method":"$/nobody"}"#;
    let kind = "content-type: application/vscode-jsonrpc; charset=utf-8";
    editor.raw(format!("{kind}\r\nX-Other: 1\r\ncontent-length:{}\r\n\r\n{body}", body.len()).as_bytes());
    assert!(editor.answer(70).is_err());
    editor.raw(format!("CONTENT-LENGTH: {}\r\nA: b\r\nC: d\r\n\r\n{body}", body.len()).as_bytes());
    assert!(editor.answer(70).is_err());
}

#[test]
fn a_message_may_come_byte_by_byte() {
    let mut editor = Editor::start(Options::default());
    for byte in frame(r#"{"jsonrpc":"2.0","id":70,"method":"$/nobody"}"#) {
        editor.raw(&[byte]);
    }
    assert!(editor.answer(70).is_err());
}

#[test]
fn a_method_nobody_has_is_refused() {
    let mut editor = Editor::start(Options::default());
    for method in ["$/nobody", "textDocument/nobody"] {
        let error = editor.ask(method, json!({})).unwrap_err();
        assert_eq!(error["code"], -32601, "{method}");
    }
    editor.notify("$/nobody", json!({}));
    editor.notify("nobody", json!([1]));
    is_answered(&mut editor);
}

#[test]
fn parameters_that_make_no_sense_are_refused() {
    let mut editor = Editor::start(Options::default());
    let error = editor.ask("textDocument/hover", json!({ "textDocument": 7 })).unwrap_err();
    assert_eq!(error["code"], -32602);
    editor.notify("textDocument/didOpen", json!({ "textDocument": { "uri": "no address" } }));
    editor.notify("textDocument/didChange", Value::Null);
    is_answered(&mut editor);
}

#[test]
fn before_the_handshake_questions_are_refused_and_texts_ignored() {
    let mut editor = Editor::spawn(Options::default());
    let error = editor.ask("textDocument/hover", json!({})).unwrap_err();
    assert_eq!(error["code"], -32002);
    editor.open("untitled:early", STUMBLE);
    editor.initialize();
    editor.notify("initialized", json!({}));
    is_answered(&mut editor);
}

#[test]
fn a_client_that_never_answers_holds_up_nobody() {
    let mut options = Options { answers: false, ..Options::default() };
    options.capabilities["workspace"]["didChangeWatchedFiles"] = json!({ "dynamicRegistration": true });
    let mut editor = Editor::start(options);
    editor.wait(|message| message["method"] == "client/registerCapability");
    is_answered(&mut editor);
}

#[test]
fn a_late_or_needless_answer_does_no_harm() {
    let mut editor = Editor::start(Options::default());
    editor.raw(&frame(r#"{"jsonrpc":"2.0","id":4711,"result":null}"#));
    editor.raw(&frame(r#"{"jsonrpc":"2.0","id":null,"error":{"code":1,"message":"what?"}}"#));
    is_answered(&mut editor);
}

#[test]
fn a_question_taken_back_is_answered_once() {
    let (mut editor, document) = with(STUMBLE);
    let ids: Vec<i64> = (0..50).map(|_| editor.send("textDocument/hover", document.at(4, 3))).collect();
    for id in &ids {
        editor.notify("$/cancelRequest", json!({ "id": id }));
    }
    for id in ids {
        if let Err(error) = editor.answer(id) {
            assert_eq!(error["code"], -32800);
        }
    }
    is_answered(&mut editor);
}

#[test]
fn many_questions_at_once_are_all_answered() {
    let (mut editor, document) = with(STUMBLE);
    let ids: Vec<i64> = (0..300).map(|_| editor.send("textDocument/hover", document.at(4, 3))).collect();
    for id in ids {
        assert!(editor.answer(id).is_ok());
    }
}

#[test]
fn standard_output_holds_frames_only_whatever_is_traced() {
    let env = [("RUST_LOG", "trace"), ("RUST_BACKTRACE", "full")];
    let env = env.map(|(name, value)| (name.to_owned(), value.to_owned())).to_vec();
    let mut editor = Editor::start(Options { env, args: vec!["--stdio".to_owned()], ..Options::default() });
    editor.notify("$/setTrace", json!({ "value": "verbose" }));
    // The kit reads nothing but frames, and fails at a byte of anything else.
    is_answered(&mut editor);
    assert!(editor.stop().success());
}
