//! What is told above each part.

use lope_tests::editor::{Document, Editor, range};
use serde_json::{Value, json};

use super::{STUMBLE, with};

/// The lenses of the document, with their words.
pub fn lenses(editor: &mut Editor, document: &Document) -> Vec<Value> {
    let found = editor.request("textDocument/codeLens", json!({ "textDocument": document.id() }));
    let found = found.as_array().unwrap().clone();
    found.into_iter().map(|lens| editor.request("codeLens/resolve", lens)).collect()
}

#[test]
fn each_part_is_told_from_afar() {
    let second = STUMBLE.replace("Loose", "Other").replace(" h3 ", " 3:0 ");
    let (mut editor, document) = with(&format!("{STUMBLE}\n{second}"));
    let lenses = lenses(&mut editor, &document);
    let words: Vec<&str> = lenses.iter().map(|lens| lens["command"]["title"].as_str().unwrap()).collect();
    assert_eq!(
        words,
        ["4 bars, 87% of falls struck, 1 trouble spot", "4 bars, 93% of falls struck, no trouble"]
    );
    assert_eq!(lenses[0]["range"], range((3, 0), (3, 6)));
    assert_eq!(lenses[1]["command"]["command"], "lope.mendPart");
    assert_eq!(lenses[1]["command"]["arguments"], json!([document.uri, "The Other Shutter", "A"]));
}

#[test]
fn a_part_that_has_gone_meanwhile_says_so() {
    let (mut editor, mut document) = with(STUMBLE);
    let found = editor.request("textDocument/codeLens", json!({ "textDocument": document.id() }));
    editor.edit(&mut document, (3, 5), (3, 6), "Z");
    let lens = editor.request("codeLens/resolve", found[0].clone());
    assert_eq!(lens["command"]["title"], "part A is gone");
    editor.close(&document);
    assert_eq!(editor.request("codeLens/resolve", found[0].clone()), found[0]);
}
