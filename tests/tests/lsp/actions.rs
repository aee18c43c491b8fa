//! Mends offered and made.

use lope_tests::book::Book;
use lope_tests::editor::{Document, Editor, Options, range};
use lope_tests::tunes::{self, Trouble};
use serde_json::{Value, json};

use super::{CLEAN, STUMBLE, make_edits, with};

/// The code actions at `range` when only `kinds` are wanted.
fn only(editor: &mut Editor, document: &Document, range: Value, kinds: Value) -> Vec<Value> {
    let context = json!({ "diagnostics": [], "only": kinds });
    let params = json!({ "textDocument": document.id(), "range": range, "context": context });
    editor.request("textDocument/codeAction", params).as_array().unwrap().clone()
}

fn kinds(actions: &[Value]) -> Vec<&str> {
    actions.iter().map(|action| action["kind"].as_str().unwrap()).collect()
}

/// Makes what `action` says in the document.
fn make(editor: &mut Editor, document: &mut Document, action: &Value) {
    let edits = action["edit"]["changes"][&document.uri].as_array();
    make_edits(editor, document, edits.unwrap_or_else(|| panic!("no edits: {action:#}")));
}

#[test]
fn a_quick_fix_mends_the_finding_it_is_offered_for() {
    let (mut editor, mut document) = with(STUMBLE);
    let found = editor.diagnostics(&document);
    let fixes = only(&mut editor, &document, range((4, 20), (4, 20)), json!(["quickfix"]));
    assert_eq!(fixes[0]["diagnostics"], json!(found));
    assert_eq!(fixes[0]["isPreferred"], true);
    let preferred = fixes.iter().filter(|fix| fix["isPreferred"] == true);
    assert_eq!(preferred.count(), 1);
    make(&mut editor, &mut document, &fixes[0].clone());
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
}

#[test]
fn away_from_a_finding_there_is_nothing_to_mend() {
    let mends = |text: &str, place: Value| {
        let (mut editor, document) = with(text);
        only(&mut editor, &document, place, json!(["quickfix"])).len()
    };
    assert_eq!(mends(STUMBLE, range((4, 3), (4, 5))), 0);
    assert_eq!(mends(STUMBLE, range((90, 0), (99, 0))), 0);
    assert_eq!(mends(CLEAN, range((0, 0), (99, 0))), 0);
    let (mut editor, document) = with(CLEAN);
    assert_eq!(editor.actions(&document, range((0, 0), (0, 0)), &[]), [Value::Null; 0]);
}

#[test]
fn only_what_is_asked_for_is_offered() {
    let (mut editor, document) = with(STUMBLE);
    let mut offered = |wanted: Value| {
        let actions = only(&mut editor, &document, range((4, 19), (4, 21)), wanted);
        let mut kinds: Vec<String> = kinds(&actions).into_iter().map(str::to_owned).collect();
        kinds.dedup();
        kinds
    };
    assert_eq!(offered(json!(["quickfix"])), ["quickfix", "quickfix.keep"]);
    assert_eq!(offered(json!(["quickfix.keep"])), ["quickfix.keep"]);
    assert_eq!(offered(json!(["source"])), ["source.fixAll"]);
    assert_eq!(offered(json!(["source.fixAll"])), ["source.fixAll"]);
    assert_eq!(offered(json!(["source.fixAll.lope"])), ["source.fixAll.lope"]);
    assert_eq!(offered(json!(["source.fixAll.other"])), [""; 0]);
    assert_eq!(
        offered(json!(["refactor"])),
        ["refactor.rewrite.string", "refactor.rewrite.again", "refactor.extract.phrase"]
    );
    assert_eq!(offered(json!([])), [""; 0]);
    assert_eq!(offered(json!(["quickfix", "source.fixAll"])), ["quickfix", "quickfix.keep", "source.fixAll"]);
}

#[test]
fn all_at_once_leaves_nothing_that_could_be_mended_safely() {
    let text: String = (0..20).map(|seed| tunes::tune(seed, 400, Trouble::Often)).collect();
    let (mut editor, mut document) = with(&text);
    let before = editor.diagnostics(&document).len();
    let all = only(&mut editor, &document, range((0, 0), (0, 0)), json!(["source.fixAll"]));
    assert_eq!(kinds(&all), ["source.fixAll"]);
    make(&mut editor, &mut document, &all[0].clone());
    let after = editor.diagnostics(&document);
    assert!(after.len() < before, "{before} became {}", after.len());
    assert_eq!(
        only(&mut editor, &document, range((0, 0), (0, 0)), json!(["source.fixAll"])),
        [Value::Null; 0]
    );
}

#[test]
fn without_being_asked_all_at_once_is_offered_where_one_is_and_made_when_chosen() {
    let (mut editor, mut document) = with(&format!("{STUMBLE}\n{}", STUMBLE.replace("Loose", "Other")));
    let offered = editor.actions(&document, range((4, 19), (4, 21)), &[]);
    let all = offered.iter().find(|action| action["kind"] == "source.fixAll").unwrap();
    assert_eq!(all["edit"], Value::Null);
    let all = editor.request("codeAction/resolve", all.clone());
    make(&mut editor, &mut document, &all);
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
}

#[test]
fn resolving_what_needs_none_changes_nothing() {
    let (mut editor, document) = with(STUMBLE);
    let mut offered = editor.actions(&document, range((4, 19), (4, 21)), &[]);
    let all = offered.pop().unwrap();
    for action in offered {
        assert_eq!(editor.request("codeAction/resolve", action.clone()), action);
    }
    editor.close(&document);
    assert_eq!(editor.request("codeAction/resolve", all.clone()), all);
}

#[test]
fn edits_are_for_one_version_where_the_editor_can_check_that() {
    let mut options = Options::default();
    options.capabilities["workspace"]["workspaceEdit"] = json!({ "documentChanges": true });
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", STUMBLE);
    let fixes = only(&mut editor, &document, range((4, 19), (4, 21)), json!(["quickfix"]));
    let changes = &fixes[0]["edit"]["documentChanges"][0];
    assert_eq!(changes["textDocument"], json!({ "uri": document.uri, "version": 1 }));
    assert_eq!(fixes[0]["edit"]["changes"], Value::Null);
}

#[test]
fn editors_that_send_back_old_findings_or_none_are_served_alike() {
    let (mut editor, document) = with(STUMBLE);
    let found = editor.diagnostics(&document);
    let place = range((4, 19), (4, 21));
    let offered = editor.actions(&document, place.clone(), &found);
    assert!(!offered.is_empty());
    assert_eq!(editor.actions(&document, place.clone(), &[]), offered);
    let stale = json!({ "range": range((70, 0), (70, 1)), "message": "something else" });
    assert_eq!(editor.actions(&document, place, &[stale]), offered);
}

/// Two tunes with a note that breaks the gait, one of them with a short bar as well.
fn troubles() -> String {
    format!("{STUMBLE}\n{}", STUMBLE.replace("Loose", "Other").replace("1:0- - |", "1:0- |"))
}

#[test]
fn all_findings_of_one_rule_are_mended_at_once() {
    let titled = |actions: &[Value]| {
        let found =
            actions.iter().find(|action| action["title"].as_str().unwrap().contains("every off-strike"));
        found.cloned()
    };
    let (mut editor, mut document) = with(&troubles());
    let place = range((4, 19), (4, 21));
    let asked = titled(&only(&mut editor, &document, place.clone(), json!(["quickfix"]))).unwrap();
    let offered = titled(&editor.actions(&document, place, &[])).unwrap();
    assert_eq!(offered["edit"], Value::Null);
    let resolved = editor.request("codeAction/resolve", offered);
    assert_eq!(resolved["edit"], asked["edit"]);
    make(&mut editor, &mut document, &resolved);
    let left = editor.diagnostics(&document);
    assert_eq!(left.iter().map(|found| &found["code"]).collect::<Vec<_>>(), ["short-bar"]);
    let (mut editor, document) = with(STUMBLE);
    assert_eq!(titled(&editor.actions(&document, range((4, 19), (4, 21)), &[])), None, "there is one only");
}

#[test]
fn a_finding_can_be_kept_with_a_reason() {
    let (mut editor, mut document) = with(STUMBLE);
    let fixes = only(&mut editor, &document, range((4, 20), (4, 20)), json!(["quickfix"]));
    let keep = fixes.last().unwrap();
    assert_eq!(keep["title"], "keep off-strike here, with a reason");
    assert_eq!(keep["isPreferred"], false);
    assert_eq!(
        keep["edit"]["changes"][&document.uri],
        json!([{ "range": range((4, 0), (4, 0)), "newText": "# keep off-strike: say why\n" }])
    );
    make(&mut editor, &mut document, &keep.clone());
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
}

#[test]
fn a_selection_with_very_many_findings_is_offered_a_menu_that_can_be_read() {
    let text: String = (0..400).map(|number| STUMBLE.replace("Loose", &number.to_string())).collect();
    let (mut editor, document) = with(&text);
    let fixes = only(&mut editor, &document, range((0, 0), (9999, 0)), json!(["quickfix"]));
    let mends = fixes.iter().filter(|fix| fix["kind"] == "quickfix" && fix["isPreferred"] == true);
    assert_eq!(mends.count(), 100);
}

#[test]
fn a_title_that_two_tunes_have_can_be_kept() {
    let other = "tune: Loose\nmeter: 6/8\n";
    let text = "tune: Of Its Own\nmeter: 6/8\n\ntune: Loose\nmeter: 6/8\n";
    let book = Book::of(&[("a.lope", other), ("b.lope", text)]);
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    let mut document = editor.open(&book.uri("b.lope"), text);
    while editor.diagnostics(&document).is_empty() {}
    assert_eq!(only(&mut editor, &document, range((0, 8), (0, 8)), json!(["quickfix"])), [Value::Null; 0]);
    let actions = only(&mut editor, &document, range((3, 8), (3, 8)), json!(["quickfix"]));
    assert_eq!(actions.len(), 1, "{actions:#?}");
    assert_eq!(actions[0]["title"], "keep same-title here, with a reason");
    assert_eq!(actions[0]["diagnostics"][0]["code"], "same-title");
    make(&mut editor, &mut document, &actions[0]);
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
}
