//! The same music written otherwise.

use lope_tests::editor::{Document, Editor, Options, range};
use serde_json::{Value, json};

use super::{make_edits, with};

const TUNE: &str = "\
tune: 🪕 The Other Hand
meter: 6/8
tuning: gDGBD

part A
| 3:0 t 2:0  2:1 t 2:3 | 3:0 t 2:0  1:0 t 1:2 |

part B
| 3:0 t 2:0  2:1 t 2:3 | 3:0 t 2:0  1:0- - |
";

type Corner = (u32, u32);

/// The refactorings for a selection among `kinds`, as kind and title, or reason where they are refused.
fn offered(
    editor: &mut Editor,
    document: &Document,
    from: Corner,
    to: Corner,
    kinds: Value,
) -> Vec<(String, String)> {
    let found = ask(editor, document, from, to, json!({ "diagnostics": [], "only": kinds }));
    let word = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let said = |action: &Value| match &action["disabled"]["reason"] {
        Value::Null => word(&action["title"]),
        reason => format!("no: {}", word(reason)),
    };
    found.iter().map(|action| (word(&action["kind"]), said(action))).collect()
}

fn ask(editor: &mut Editor, document: &Document, from: Corner, to: Corner, context: Value) -> Vec<Value> {
    let params = json!({ "textDocument": document.id(), "range": range(from, to), "context": context });
    editor.request("textDocument/codeAction", params).as_array().unwrap().clone()
}

#[test]
fn a_kind_holds_the_refactorings_below_it() {
    let (mut editor, document) = with(TUNE);
    let mut kinds = |from, to, kinds| -> Vec<String> {
        let mut found: Vec<String> =
            offered(&mut editor, &document, from, to, kinds).into_iter().map(|(kind, _)| kind).collect();
        found.dedup();
        found
    };
    let bars = ((5, 25), (5, 47));
    assert_eq!(
        kinds(bars.0, bars.1, json!(["refactor"])),
        ["refactor.rewrite.again", "refactor.extract.phrase", "refactor.rewrite.split"]
    );
    assert_eq!(kinds(bars.0, bars.1, json!(["refactor.extract"])), ["refactor.extract.phrase"]);
    assert_eq!(kinds(bars.0, bars.1, json!(["refactor.rewrite.split"])), ["refactor.rewrite.split"]);
    assert_eq!(kinds(bars.0, bars.1, json!(["refactor.inline"])), [""; 0]);
    assert_eq!(kinds(bars.0, bars.1, json!(["quickfix", "source"])), [""; 0]);
    assert_eq!(kinds((2, 8), (2, 8), json!(["refactor"])), ["refactor.rewrite.tuning"]);
    assert_eq!(kinds((4, 2), (4, 2), json!(["refactor.rewrite"])), ["refactor.rewrite.join"]);
    assert_eq!(kinds((5, 15), (5, 15), json!(["refactor"])), ["refactor.rewrite.string"]);
}

#[test]
fn what_is_chosen_is_written() {
    let (mut editor, mut document) = with(TUNE);
    let chosen = ask(
        &mut editor,
        &document,
        (4, 2),
        (4, 2),
        json!({ "diagnostics": [], "only": ["refactor.rewrite.join"] }),
    );
    assert_eq!(chosen[0]["title"], "join part A with part B");
    let edits = chosen[0]["edit"]["changes"][&document.uri].as_array().unwrap();
    make_edits(&mut editor, &mut document, edits);
    let symbols = editor.request("textDocument/documentSymbol", json!({ "textDocument": document.id() }));
    let parts = symbols[0]["children"].as_array().unwrap();
    assert_eq!(parts.len(), 1, "{symbols}");
    assert_eq!(parts[0]["detail"], "4 bars");
}

#[test]
fn an_editor_that_can_show_it_is_told_why_something_cannot_be_done() {
    let mut options = Options::default();
    options.capabilities["textDocument"]["codeAction"]["disabledSupport"] = json!(true);
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", TUNE);
    let (from, to) = ((5, 30), (8, 10));
    let extract = json!(["refactor.extract"]);
    let refused = offered(&mut editor, &document, from, to, extract.clone());
    assert_eq!(
        refused,
        [(
            "refactor.extract.phrase".to_owned(),
            "no: the selected bars are in more than one part".to_owned()
        )]
    );
    let unasked = ask(&mut editor, &document, from, to, json!({ "diagnostics": [] }));
    assert!(
        unasked.iter().all(|action| action["disabled"].is_null()),
        "only where refactorings are asked for"
    );
    let (mut editor, document) = with(TUNE);
    assert_eq!(offered(&mut editor, &document, from, to, extract), []);
}

#[test]
fn a_cursor_that_only_moves_is_offered_none() {
    let (mut editor, document) = with(TUNE);
    let mut count = |trigger: u32| {
        let context = json!({ "diagnostics": [], "triggerKind": trigger });
        let found = ask(&mut editor, &document, (4, 2), (4, 2), context);
        found.iter().filter(|action| action["kind"].as_str().unwrap().starts_with("refactor")).count()
    };
    assert_eq!((count(1), count(2)), (1, 0));
}

#[test]
fn bars_are_arranged_again_and_what_they_were_is_among_the_next_best() {
    let (mut editor, mut document) = with(TUNE);
    let bar = |row: u32| ((row, 2), (row, 20));
    let asked = json!({ "diagnostics": [], "only": ["refactor.rewrite.again"] });
    let (from, to) = bar(5);
    let found = ask(&mut editor, &document, from, to, asked.clone());
    let titles: Vec<&str> = found.iter().map(|action| action["title"].as_str().unwrap()).collect();
    assert_eq!(titles.len(), 3, "{titles:?}");
    assert!(titles.iter().all(|title| title.starts_with("arrange bar 1 again, ")), "{titles:?}");
    let edits = found[0]["edit"]["changes"][&document.uri].as_array().unwrap().clone();
    let row = TUNE.lines().nth(5).unwrap();
    let column = |edit: &Value, end: &str| edit["range"][end]["character"].as_u64().unwrap() as usize;
    let was: Vec<&str> = edits.iter().map(|edit| &row[column(edit, "start")..column(edit, "end")]).collect();
    make_edits(&mut editor, &mut document, &edits);
    let next_best = ask(&mut editor, &document, from, to, asked);
    let leads_back = |action: &Value| {
        let edits = action["edit"]["changes"][&document.uri].as_array().unwrap();
        edits.iter().map(|edit| edit["newText"].as_str().unwrap()).eq(was.iter().copied())
    };
    assert!(next_best.iter().any(leads_back), "{was:?} {next_best:#?}");
}

const REEL: &str = "\
tune: 🪕 Nine Steps Down
meter: 4/4

part A
| 3:0- 2:0-  1:0 t 2:0 t | 3:0- 2:0-  3:0- - - |
";

#[test]
fn a_run_is_made_of_the_notes_selected_and_taken_back() {
    let (mut editor, mut document) = with(REEL);
    let asked = |kind: &str| json!({ "diagnostics": [], "only": [kind] });
    let runs = ask(&mut editor, &document, (4, 2), (4, 11), asked("refactor.rewrite.run"));
    let titles: Vec<&str> = runs.iter().map(|run| run["title"].as_str().unwrap()).collect();
    assert_eq!(titles[0], "make a run of 6: G A B, C D B");
    assert!(titles.iter().any(|title| title.starts_with("make a blues run of 6: ")), "{titles:?}");
    let edits = runs[0]["edit"]["changes"][&document.uri].as_array().unwrap().clone();
    let texts: Vec<&str> = edits.iter().map(|edit| edit["newText"].as_str().unwrap()).collect();
    assert_eq!(texts, ["# straight: 3:0- 2:0-\n", "{3:0 h2 2:0  2:1 h3 2:0}/4"]);
    make_edits(&mut editor, &mut document, &edits);
    let back = ask(&mut editor, &document, (5, 8), (5, 8), asked("refactor.rewrite.straight"));
    assert_eq!(back[0]["title"], "take the run back: 3:0- 2:0-");
    let edits = back[0]["edit"]["changes"][&document.uri].as_array().unwrap().clone();
    make_edits(&mut editor, &mut document, &edits);
    let again = ask(&mut editor, &document, (4, 2), (4, 11), asked("refactor.rewrite.run"));
    assert_eq!(again, runs, "the text is what it was");
    assert_eq!(ask(&mut editor, &document, (4, 4), (4, 4), asked("refactor.rewrite.run")), [] as [Value; 0]);
}
