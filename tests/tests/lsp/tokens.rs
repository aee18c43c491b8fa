//! What each word of a text is, as semantic tokens.

use lope_tests::editor::{Editor, Options};
use lope_tests::tunes::{self, Trouble};
use serde_json::{Value, json};

use super::counted::{Counted, ENCODINGS};

/// An editor that knows `types` and `modifiers`.
fn knowing(types: &[&str], modifiers: &[&str]) -> Options {
    let mut options = Options::default();
    options.capabilities["textDocument"]["semanticTokens"] = capability(types, modifiers);
    options
}

/// How an editor says so.
pub fn capability(types: &[&str], modifiers: &[&str]) -> Value {
    json!({
        "requests": { "range": true, "full": { "delta": true } },
        "tokenTypes": types,
        "tokenModifiers": modifiers,
        "formats": ["relative"],
    })
}

/// The types of the protocol that editors know (version 3.17).
pub const STANDARD: [&str; 23] = [
    "namespace",
    "type",
    "class",
    "enum",
    "interface",
    "struct",
    "typeParameter",
    "parameter",
    "variable",
    "property",
    "enumMember",
    "event",
    "function",
    "method",
    "macro",
    "keyword",
    "modifier",
    "comment",
    "string",
    "number",
    "regexp",
    "operator",
    "decorator",
];

fn today() -> Options {
    knowing(&STANDARD, &["declaration", "definition", "readonly"])
}

/// The legend the server gives such an editor.
fn legend(options: Options) -> Value {
    let mut editor = Editor::spawn(options);
    editor.initialize()["capabilities"]["semanticTokensProvider"].clone()
}

fn numbers(data: &Value) -> Vec<usize> {
    data.as_array().unwrap().iter().map(|number| number.as_u64().unwrap() as usize).collect()
}

/// Each token as `type.modifier text`.
fn shown(counted: &Counted, legend: &Value, data: &[usize]) -> Vec<String> {
    let (mut line, mut column) = (0, 0);
    let mut shown = Vec::new();
    for token in data.chunks(5) {
        column = if token[0] == 0 { column + token[1] } else { token[1] };
        line += token[0];
        let start = counted.byte(&json!({ "line": line, "character": column }));
        let end = counted.byte(&json!({ "line": line, "character": column + token[2] }));
        let modifiers = legend["tokenModifiers"].as_array().unwrap().iter().enumerate();
        let modifiers = modifiers.filter(|(bit, _)| token[4] >> bit & 1 == 1);
        let modifiers: String = modifiers.map(|(_, name)| format!(".{}", name.as_str().unwrap())).collect();
        let kind = legend["tokenTypes"][token[3]].as_str().unwrap();
        shown.push(format!("{kind}{modifiers} {}", &counted.text[start..end]));
    }
    shown
}

const TUNE: &str = "\
tune: é🎵 Rows  # 🎵
order: A

part A x2
| \"🎵\" 2:1! t h3  <G7> {1:0 _}-/2 | @turn | % |  # keep off-strike: so

phrase turn
1:0
";

#[test]
fn every_word_is_told_by_standard_names() {
    let legend = legend(today())["legend"].clone();
    for encoding in ENCODINGS {
        for line_break in ["\n", "\r\n", "\r"] {
            let text = TUNE.replace('\n', line_break);
            let mut counted = Counted::open(today(), encoding, &text);
            let tokens = counted.ask_all("textDocument/semanticTokens/full");
            let shown = shown(&counted, &legend, &numbers(&tokens["data"])).join(", ");
            let expected = "property tune, string é🎵 Rows, comment # 🎵, property order, class A, keyword part, \
                class.declaration A, number x2, operator |, string \"🎵\", number 2:1, decorator !, parameter t, \
                method h3, type <G7>, operator {, number 1:0, operator _, operator }, operator -, operator /2, \
                operator |, function @turn, operator |, macro %, operator |, comment # , macro keep, \
                enumMember off-strike, comment : so, keyword phrase, function.declaration turn, number 1:0";
            assert_eq!(shown, expected);
        }
    }
}

#[test]
fn an_editor_that_knows_our_names_is_told_by_those() {
    let options = knowing(&["fret", "barLine", "number"], &["thumb", "slur", "strike"]);
    let legend = legend(options.clone())["legend"].clone();
    assert_eq!(legend["tokenTypes"], json!(["number", "fret", "barLine"]));
    let mut counted = Counted::open(options, "utf-16", "tune: T\n\npart A x2\n| 2:1 t h3 |\n");
    let tokens = counted.ask_all("textDocument/semanticTokens/full");
    assert_eq!(
        shown(&counted, &legend, &numbers(&tokens["data"])),
        ["number x2", "barLine |", "fret.strike 2:1", "fret.thumb t", "fret.slur h3", "barLine |"]
    );
}

#[test]
fn an_editor_is_offered_what_it_asks_for() {
    assert_eq!(legend(Options::default()), Value::Null);
    assert_eq!(legend(knowing(&["nothing"], &[])), Value::Null);
    let mut options = today();
    options.capabilities["textDocument"]["semanticTokens"]["requests"] = json!({ "full": true });
    let offered = legend(options);
    assert_eq!((&offered["full"], &offered["range"]), (&json!(true), &json!(false)));
    let offered = legend(today());
    assert_eq!((&offered["full"], &offered["range"]), (&json!({ "delta": true }), &json!(true)));
}

#[test]
fn the_tokens_of_a_range_are_those_of_the_whole_there() {
    let legend = legend(today())["legend"].clone();
    let text = format!("{TUNE}\n{TUNE}");
    for encoding in ENCODINGS {
        let mut counted = Counted::open(today(), encoding, &text);
        let mut within = |start: (u32, u32), end: (u32, u32)| {
            let range = lope_tests::editor::range(start, end);
            let params = json!({ "textDocument": counted.document.id(), "range": range });
            let tokens = counted.editor.request("textDocument/semanticTokens/range", params);
            shown(&counted, &legend, &numbers(&tokens["data"]))
        };
        assert_eq!(
            within((7, 0), (10, 0)),
            ["number 1:0", "property tune", "string é🎵 Rows", "comment # 🎵", "property order"]
        );
        assert_eq!(within((99, 0), (999, 0)), [""; 0]);
        assert_eq!(within((0, 0), (999, 0)).len(), 66);
    }
}

/// The tokens an editor holds after the answer to a request for what has changed.
fn changed(held: &mut Vec<usize>, answer: &Value) {
    for edit in answer["edits"].as_array().unwrap() {
        let [start, deleted] = ["start", "deleteCount"].map(|name| edit[name].as_u64().unwrap() as usize);
        let data = edit.get("data").map(numbers).unwrap_or_default();
        held.splice(start..start + deleted, data);
    }
}

#[test]
fn changes_of_tokens_make_the_tokens_of_the_changed_text() {
    let text = format!("{TUNE}\n{TUNE}\n{TUNE}");
    let mut counted = Counted::open(today(), "utf-16", &text);
    let first = counted.ask_all("textDocument/semanticTokens/full");
    let (mut held, mut id) = (numbers(&first["data"]), first["resultId"].clone());
    let edits = [
        ((13, 0), (13, 0), "| t |\n"),
        ((13, 0), (14, 0), ""),
        ((0, 0), (0, 0), "# before\n\n"),
        ((10, 0), (20, 0), ""),
        ((9, 0), (9, 0), "tune: New\n\ntune: Newer\nmeter: 6/8\n\n"),
        ((2, 0), (3, 0), ""),
        ((0, 0), (99, 0), ""),
        ((0, 0), (0, 0), TUNE),
        ((0, 0), (0, 0), ""),
    ];
    for (start, end, new) in edits {
        counted.editor.edit(&mut counted.document, start, end, new);
        let params = json!({ "textDocument": counted.document.id(), "previousResultId": id });
        let answer = counted.editor.request("textDocument/semanticTokens/full/delta", params);
        changed(&mut held, &answer);
        id = answer["resultId"].clone();
        let whole = counted.ask_all("textDocument/semanticTokens/full");
        assert_eq!(held, numbers(&whole["data"]), "after {new:?} at {start:?}");
        assert_eq!(id, whole["resultId"]);
    }
    // An id that is not the last one's: all of them.
    let params = json!({ "textDocument": counted.document.id(), "previousResultId": "of old" });
    let answer = counted.editor.request("textDocument/semanticTokens/full/delta", params);
    assert_eq!(numbers(&answer["data"]), held);
}

#[test]
fn a_change_in_a_big_file_costs_a_few_tokens() {
    let text: String = (0..20).map(|seed| tunes::tune(seed, 4000, Trouble::Often) + "\n").collect();
    let mut counted = Counted::open(today(), "utf-16", &text);
    let first = counted.ask_all("textDocument/semanticTokens/full");
    let mut held = numbers(&first["data"]);
    let (line, _) = counted.position(text.len() / 2);
    counted.editor.edit(&mut counted.document, (line, 0), (line, 0), "# c\n");
    let params = json!({ "textDocument": counted.document.id(), "previousResultId": first["resultId"] });
    let answer = counted.editor.request("textDocument/semanticTokens/full/delta", params);
    let told: usize =
        answer["edits"].as_array().unwrap().iter().map(|edit| numbers(&edit["data"]).len()).sum();
    assert!(told > 0 && told < held.len() / 10, "{told} of {}", held.len());
    changed(&mut held, &answer);
    assert_eq!(held, numbers(&counted.ask_all("textDocument/semanticTokens/full")["data"]));
}
