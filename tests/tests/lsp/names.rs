//! The names of parts and phrases, and what belongs with the text under the cursor.

use lope_tests::editor::Options;
use serde_json::{Value, json};

use super::counted::{Counted, ENCODINGS};

const TUNE: &str = "\
# é🎵
tune: 🎵 Rows
meter: 6/8
order: A B A

part A
\"🎵\" @turn | @turn |
part B
| \"é🎵\" 2:1 t 2:0  3:0 t 2:0 | @turn |

phrase turn
1:0 t 1:2  1:0 - -

tune: Other
meter: 6/8

phrase turn
| 1:0 - -  1:0 - - |
";

/// Opens `TUNE` with `from` in it replaced by `to`, which has the cursor, in each way of counting and of
/// ending lines.
fn each(options: &Options, from: &str, to: &str, check: impl Fn(Counted, &str)) {
    for line_break in ["\n", "\r\n", "\r"] {
        let marked = TUNE.replacen(from, to, 1).replace('\n', line_break);
        for encoding in ENCODINGS {
            check(Counted::open(options.clone(), encoding, &marked), line_break);
        }
    }
}

#[test]
fn a_definition_is_the_heading() {
    for (from, to, heading) in [
        ("| @turn |", "| @tu$0rn |", "phrase «turn»"),
        ("phrase turn", "phrase $0turn", "phrase «turn»"),
        ("A B A", "A B A$0", "part «A»"),
    ] {
        each(&Options::default(), from, to, |mut counted, _| {
            let found = counted.ask("textDocument/definition");
            assert_eq!(found["uri"], counted.document.uri);
            let expected = counted.text.replacen(&heading.replace(['«', '»'], ""), heading, 1);
            assert_eq!(counted.show([(&found["range"], "")]), expected);
        });
    }
}

#[test]
fn a_definition_is_a_link_where_the_editor_shows_those() {
    let mut options = Options::default();
    options.capabilities["textDocument"]["definition"] = json!({ "linkSupport": true });
    each(&options, "| @turn |", "| @tu$0rn |", |mut counted, line_break| {
        let found = &counted.ask("textDocument/definition")[0];
        let piece = |name: &str| &counted.text[counted.bytes(&found[name])];
        assert_eq!(found["targetUri"], counted.document.uri);
        assert_eq!(piece("originSelectionRange"), "turn");
        assert_eq!(piece("targetSelectionRange"), "turn");
        assert_eq!(piece("targetRange"), format!("phrase turn{line_break}1:0 t 1:2  1:0 - -"));
    });
}

fn references(counted: &mut Counted, headings: bool) -> String {
    let mut params = counted.here();
    params["context"] = json!({ "includeDeclaration": headings });
    let found = counted.editor.request("textDocument/references", params);
    let found = found.as_array().unwrap();
    assert!(found.iter().all(|place| place["uri"] == counted.document.uri));
    counted.show(found.iter().map(|place| (&place["range"], "")))
}

#[test]
fn references_stay_in_their_tune_and_may_leave_the_heading_out() {
    each(&Options::default(), "phrase turn", "phrase turn$0", |mut counted, _| {
        let calls = counted.text.replace("@turn", "@«turn»");
        assert_eq!(references(&mut counted, false), calls);
        assert_eq!(references(&mut counted, true), calls.replacen("phrase turn", "phrase «turn»", 1));
    });
    each(&Options::default(), "part A", "part $0A", |mut counted, _| {
        let order = counted.text.replace("A B A", "«A» B «A»");
        assert_eq!(references(&mut counted, false), order);
        assert_eq!(references(&mut counted, true), order.replace("part A", "part «A»"));
    });
}

fn rename(counted: &mut Counted, name: &str) -> Result<Value, Value> {
    let mut params = counted.here();
    params["newName"] = json!(name);
    counted.editor.ask("textDocument/rename", params)
}

#[test]
fn a_rename_changes_every_use() {
    each(&Options::default(), "| @turn |", "| @$0turn |", |mut counted, _| {
        let prepared = counted.ask("textDocument/prepareRename");
        assert_eq!(prepared["placeholder"], "turn");
        assert_eq!(&counted.text[counted.bytes(&prepared["range"])], "turn");
        let edit = rename(&mut counted, "é🎵").unwrap();
        let (of_it, other) = counted.text.split_once("tune: Other").unwrap();
        let expected = format!("{}tune: Other{other}", of_it.replace("turn", "é🎵"));
        assert_eq!(counted.edited(&edit["changes"][&counted.document.uri]), expected);
    });
}

#[test]
fn a_rename_is_of_a_version_where_the_editor_checks_that() {
    let mut options = Options::default();
    options.capabilities["workspace"]["workspaceEdit"] = json!({ "documentChanges": true });
    let mut counted = Counted::open(options, "utf-16", &TUNE.replace("part A", "part $0A"));
    let edit = rename(&mut counted, "C").unwrap();
    assert_eq!(edit["documentChanges"][0]["textDocument"]["version"], 1);
    let expected = counted.text.replace("A B A", "C B C").replace("part A", "part C");
    assert_eq!(counted.edited(&edit["documentChanges"][0]["edits"]), expected);
    assert_eq!(edit.get("changes"), None);
}

#[test]
fn a_rename_that_cannot_be_is_refused_with_the_reason() {
    let mut counted = Counted::open(Options::default(), "utf-16", &TUNE.replace("part A", "part $0A"));
    let mut refused = |name: &str| {
        let error = rename(&mut counted, name).unwrap_err();
        assert_eq!(error["code"], -32803);
        error["message"].as_str().unwrap().to_owned()
    };
    assert_eq!(refused("B"), "the name part B is in use in this tune already: choose another");
    for name in ["", "two words", "a|b", ":", "x\ny"] {
        assert!(refused(name).contains("is not a name: a name is one word"), "{name:?}");
    }
    let mut counted = Counted::open(Options::default(), "utf-16", &TUNE.replace("meter", "me$0ter"));
    let error = rename(&mut counted, "x").unwrap_err();
    assert_eq!(error["message"], "there is nothing to rename here: only parts and phrases have names");
    assert_eq!(counted.ask("textDocument/prepareRename"), Value::Null);
}

#[test]
fn renames_are_prepared_only_for_an_editor_that_does() {
    let offered = |prepares: Value| {
        let mut options = Options::default();
        options.capabilities["textDocument"]["rename"] = prepares;
        let mut editor = lope_tests::editor::Editor::spawn(options);
        editor.initialize()["capabilities"]["renameProvider"].clone()
    };
    assert_eq!(offered(json!({ "prepareSupport": true })), json!({ "prepareProvider": true }));
    assert_eq!(offered(json!({})), true);
}

fn highlights(counted: &mut Counted) -> String {
    let found = counted.ask("textDocument/documentHighlight");
    // 2 is `Read`, 3 `Write`.
    let words = |kind: &Value| if *kind == 3 { "=" } else { "" };
    counted.show(found.as_array().unwrap().iter().map(|it| (&it["range"], words(&it["kind"]))))
}

#[test]
fn what_belongs_together_is_highlighted() {
    for (from, to, bar) in [
        ("2:1 t 2:0", "$02:1 t 2:0", "«2:1=» t «2:0=»  3:0 t «2:0=»"),
        ("2:1 t 2:0", "2:1 $0t 2:0", "«2:1=» «t» 2:0  3:0 t 2:0"),
    ] {
        each(&Options::default(), from, to, |mut counted, _| {
            let expected = counted.text.replace("2:1 t 2:0  3:0 t 2:0", bar);
            assert_eq!(highlights(&mut counted), expected);
        });
    }
    each(&Options::default(), "part B", "part B$0", |mut counted, _| {
        let expected = counted.text.replace("A B A", "A «B» A").replace("part B", "part «B=»");
        assert_eq!(highlights(&mut counted), expected);
    });
}

#[test]
fn where_there_is_no_name_there_is_no_answer() {
    let mut counted = Counted::open(Options::default(), "utf-16", TUNE);
    for (line, character) in [(0, 0), (4, 0), (2, 999), (999, 0), (u32::MAX, u32::MAX)] {
        let place = counted.document.at(line, character);
        for method in ["definition", "prepareRename", "documentHighlight"] {
            let answer = counted.editor.request(&format!("textDocument/{method}"), place.clone());
            assert_eq!(answer, Value::Null, "{method} at {line}:{character}");
        }
    }
    let document = counted.document.clone();
    counted.editor.close(&document);
    assert_eq!(counted.editor.request("textDocument/definition", document.at(6, 8)), Value::Null);
}
