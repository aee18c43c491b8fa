//! What is offered while a tune is typed.

use lope_tests::editor::{Document, Editor, Options, range};
use lope_tests::tunes::{self, Trouble};
use serde_json::{Value, json};

use super::with;

/// The list offered at the `$0` in `marked`, in an editor that counts in `encoding`.
fn list_in(options: Options, marked: &str) -> (Editor, Document, Value) {
    let at = marked.find("$0").unwrap();
    let encoding = options.capabilities["general"]["positionEncodings"][0].as_str().unwrap().to_owned();
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", &marked.replacen("$0", "", 1));
    let before = &marked[..at];
    let line = before.matches('\n').count() as u32;
    let column = before.rsplit('\n').next().unwrap();
    let character = match encoding.as_str() {
        "utf-8" => column.len(),
        "utf-16" => column.encode_utf16().count(),
        _ => column.chars().count(),
    };
    let list = editor.request("textDocument/completion", document.at(line, character as u32));
    (editor, document, list)
}

/// The list offered at the `$0` in `marked`.
fn list(marked: &str) -> Value {
    list_in(Options::default(), marked).2
}

/// The names in `list`, in the order in which an editor shows them.
fn labels(list: &Value) -> Vec<String> {
    let mut items: Vec<&Value> = list["items"].as_array().into_iter().flatten().collect();
    items.sort_by_key(|item| item["sortText"].as_str().unwrap().to_owned());
    items.into_iter().map(|item| item["label"].as_str().unwrap().to_owned()).collect()
}

/// The item called `label` in `list`.
fn item(list: &Value, label: &str) -> Value {
    let mut items = list["items"].as_array().into_iter().flatten();
    items.find(|item| item["label"] == label).unwrap_or_else(|| panic!("{label} in {list}")).clone()
}

const JIG: &str = "tune: T\nmeter: 6/8\n\npart A\n";

#[test]
fn music_is_offered_by_the_count() {
    let rise = list(&format!("{JIG}| 2:1 $0 |\n"));
    assert_eq!(rise["isIncomplete"], true);
    assert_eq!(labels(&rise)[0], "t");
    assert_eq!(item(&rise, "t")["detail"], "G4, thumb as the hand rises on 2");
    assert_eq!(item(&rise, "t")["textEdit"], json!({ "range": range((4, 6), (4, 6)), "newText": "t" }));
    let fall = list(&format!("{JIG}| 2:1 t 2:$01! 3:0 |\n"));
    assert_eq!(item(&fall, "2:0")["textEdit"]["range"], range((4, 8), (4, 11)));
}

#[test]
fn the_word_is_found_in_every_encoding() {
    for (encoding, columns) in [("utf-8", (17, 21)), ("utf-16", (13, 17)), ("utf-32", (12, 16))] {
        let options = Options::default().counting_in(&[encoding]);
        let text = format!("{JIG}| \"é🎵é\" 3:0 @li$0c |\n\nphrase lick\n| 3:0-- 3:0-- |\n");
        let (.., list) = list_in(options, &text);
        let call = item(&list, "@lick");
        let expected = range((4, columns.0), (4, columns.1));
        assert_eq!(call["textEdit"], json!({ "range": expected, "newText": "@lick" }), "{encoding}");
    }
}

#[test]
fn fields_have_holes_only_where_an_editor_fills_them() {
    let text = "tune: T\nm$0\n";
    let meter = item(&list(text), "meter");
    assert_eq!(meter["insertTextFormat"], 2);
    assert_eq!(meter["textEdit"]["newText"], "meter: ${1:6/8}$0");
    let mut plain = Options::default();
    plain.capabilities["textDocument"]["completion"] = json!({});
    let (.., list) = list_in(plain, text);
    let meter = item(&list, "meter");
    assert_eq!((&meter["insertTextFormat"], &meter["textEdit"]["newText"]), (&json!(1), &json!("meter: ")));
    // Nobody would ask for it later.
    assert!(meter["documentation"].as_str().unwrap().starts_with("beats in a bar"), "{meter}");
}

#[test]
fn what_there_is_to_read_comes_when_it_is_asked_for() {
    let text = format!("{JIG}| @$0 |\n\nphrase lick\n| 3:0-- 2:0-- |\n");
    let (mut editor, mut document, list) = list_in(Options::default(), &text);
    let call = item(&list, "@lick");
    assert_eq!(call.get("documentation"), None);
    let resolved = editor.request("completionItem/resolve", call.clone());
    assert_eq!(resolved["documentation"]["value"], "```text\n| 3:0-- 2:0-- |\n```");
    // A phrase that has gone by then has nothing to read; nor has an item of somebody else.
    editor.edit(&mut document, (6, 0), (7, 20), "");
    let gone = editor.request("completionItem/resolve", call.clone());
    assert_eq!((&gone["label"], gone.get("documentation")), (&call["label"], None));
    for data in [json!(7), json!({ "file": "no address" }), json!({ "file": "untitled:other" }), json!(null)]
    {
        let item = json!({ "label": "x", "data": data });
        assert_eq!(editor.request("completionItem/resolve", item)["label"], "x");
    }
}

#[test]
fn a_blank_asks_in_fields_but_not_in_music() {
    let text = format!("kind: \n{JIG}| 3:0 \n# keep \n");
    let (mut editor, document) = with(&text);
    let mut asked = |line: u32, character: u32, trigger: &str| {
        let mut params = document.at(line, character);
        params["context"] = json!({ "triggerKind": 2, "triggerCharacter": trigger });
        editor.request("textDocument/completion", params)
    };
    assert_eq!(labels(&asked(0, 6, " "))[0], "jig");
    assert_eq!(asked(5, 6, " "), Value::Null);
    assert!(labels(&asked(6, 7, " ")).contains(&"short-bar".to_owned()));
    assert_eq!(labels(&asked(5, 6, "@"))[0], "t");
}

#[test]
fn every_place_of_a_text_is_answered() {
    let text = tunes::tune(3, 1500, Trouble::Often);
    let (mut editor, document) = with(&text);
    let ids: Vec<i64> = text
        .lines()
        .enumerate()
        .flat_map(|(line, row)| (0..=row.len()).map(move |at| (line as u32, at as u32)))
        .map(|(line, at)| editor.send("textDocument/completion", document.at(line, at)))
        .collect();
    for id in ids {
        let list = editor.answer(id).unwrap();
        for item in list["items"].as_array().into_iter().flatten() {
            let range = &item["textEdit"]["range"];
            assert_eq!(range["start"]["line"], range["end"]["line"], "{item}");
        }
    }
}
