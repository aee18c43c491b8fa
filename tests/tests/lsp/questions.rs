//! Questions about a text: what is under the cursor, what is in the file.

use lope_tests::editor::{Editor, Options, range};
use serde_json::{Value, json};

use super::{STUMBLE, with};

#[test]
fn a_hover_says_what_the_hand_does_and_should_do() {
    let (mut editor, document) = with(STUMBLE);
    let hover = editor.request("textDocument/hover", document.at(4, 19));
    assert_eq!(hover["range"], range((4, 19), (4, 21)));
    assert_eq!(hover["contents"]["kind"], "markdown");
    let said = hover["contents"]["value"].as_str().unwrap();
    let expected = "\
**part A, bar 1, count 6**

```text
count  4    5  [6]
gait   x    .  x
hand   ▼    ▲  △!
tab    2:1  t  h3
```

hammer-on, string 2 fret 3: D4  
note 3 of 3 in group 2: the hand should fall and strike here, and does not  
group 2: 3 of 3 eighths  
bar: 6 of 6 eighths";
    assert_eq!(said, expected);
    assert_eq!(editor.request("textDocument/hover", document.at(2, 0)), Value::Null);
}

#[test]
fn every_kind_of_text_has_its_hover() {
    let text = "tune: T\nmeter: 6/8\n\npart A x2  # keep part-length: short\n| <G> [3:0 2:0!] t {3:0 h2}  2:0 - _ | @a |\n\nphrase a\n%\n";
    let (mut editor, document) = with(text);
    let mut title = |line: u32, character: u32| {
        let hover = editor.request("textDocument/hover", document.at(line, character));
        let said = hover["contents"]["value"].as_str().unwrap_or_default();
        said.lines().next().unwrap_or_default().trim_matches('*').to_owned()
    };
    let at = |column: usize| column as u32;
    let line = text.lines().nth(4).unwrap();
    let count = |count: u32| format!("part A, bar 1, count {count}");
    for (marked, expected) in [
        ("| <", "part A, bar 1".to_owned()),
        ("<G>", count(1)),
        ("[3", count(1)),
        ("!", count(1)),
        ("t {", count(2)),
        ("{3", count(3)),
        ("h2", "part A, bar 1, count after 3".to_owned()),
        ("} ", count(3)),
        (" 2:0 - _", "part A, bar 1".to_owned()),
        ("- _", count(5)),
        ("_ |", count(6)),
        ("| @", "part A, bar 1 ends here".to_owned()),
        ("@a", "phrase a".to_owned()),
    ] {
        assert_eq!(title(4, at(line.find(marked).unwrap())), expected, "{marked}");
    }
    assert_eq!(title(0, 1), "tune");
    assert_eq!(title(1, 8), "meter: 6/8");
    assert_eq!(title(3, 8), "part A");
    assert_eq!(title(3, 20), "part-length");
    assert_eq!(title(3, 32), "a finding kept as it is");
    assert_eq!(title(6, 8), "phrase a");
    assert_eq!(title(7, 0), "phrase a, bar 1");
}

#[test]
fn a_hover_is_plain_where_the_editor_shows_no_markdown() {
    let mut options = Options::default();
    options.capabilities["textDocument"]["hover"] = json!({ "contentFormat": ["plaintext"] });
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", STUMBLE);
    let contents = editor.request("textDocument/hover", document.at(4, 19))["contents"].clone();
    assert_eq!(contents["kind"], "plaintext");
    let said = contents["value"].as_str().unwrap();
    assert!(said.starts_with("part A, bar 1, count 6\ncount  4"), "{said}");
}

#[test]
fn a_hover_asked_straight_after_an_edit_knows_the_edit() {
    let (mut editor, mut document) = with(STUMBLE);
    for (fret, pitch) in [("3", "D4"), ("2", "C#4"), ("5", "E4")] {
        editor.edit(&mut document, (4, 20), (4, 21), fret);
        let hover = editor.request("textDocument/hover", document.at(4, 19));
        let said = hover["contents"]["value"].as_str().unwrap();
        assert!(said.contains(&format!("fret {fret}: {pitch}")), "{said}");
    }
}

const TWO: &str = "\
tune: The Slipway
meter: 6/8

part A x2
| 3:0 t 2:0  1:0 t 1:2 |
  ending 1
| 3:0-- 3:0-- |
  ending 2
| 3:0-- 3:0 - - |

phrase turn
3:0 t 2:0 1:0 t 1:2

tune: 🎵 Second
meter: 9/8
";

#[test]
fn the_symbols_of_a_file_are_its_tunes_and_what_is_in_them() {
    let (mut editor, document) = with(TWO);
    let symbols = editor.request("textDocument/documentSymbol", json!({ "textDocument": document.id() }));
    let mut shown = Vec::new();
    outline(&symbols, 0, &mut shown);
    let expected = [
        "The Slipway 0:0-11:19, chosen 0:6-0:17",
        "  part A 3:0-8:17, chosen 3:0-3:9",
        "    ending 1 5:2-6:15, chosen 5:2-5:10",
        "    ending 2 7:2-8:17, chosen 7:2-7:10",
        "  phrase turn 10:0-11:19, chosen 10:0-10:11",
        "🎵 Second 13:0-14:10, chosen 13:6-13:15",
    ];
    assert_eq!(shown, expected);
}

fn outline(symbols: &Value, depth: usize, into: &mut Vec<String>) {
    for symbol in symbols.as_array().into_iter().flatten() {
        let [whole, chosen] = ["range", "selectionRange"].map(|name| {
            let range = &symbol[name];
            let [start, end] =
                ["start", "end"].map(|end| format!("{}:{}", range[end]["line"], range[end]["character"]));
            format!("{start}-{end}")
        });
        let name = symbol["name"].as_str().unwrap();
        into.push(format!("{}{name} {whole}, chosen {chosen}", "  ".repeat(depth)));
        outline(&symbol["children"], depth + 1, into);
    }
}

#[test]
fn symbols_come_in_a_row_where_the_editor_nests_none() {
    let mut options = Options::default();
    options.capabilities["textDocument"]["documentSymbol"] = json!({});
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", TWO);
    let symbols = editor.request("textDocument/documentSymbol", json!({ "textDocument": document.id() }));
    let row = symbols.as_array().unwrap();
    assert_eq!(row.len(), 6);
    assert_eq!(row[2]["name"], "ending 1");
    assert_eq!(row[2]["containerName"], "part A");
    assert_eq!(row[2]["location"]["uri"], document.uri);
}
