//! Tunes, parts and phrases by name, across the open files.

use lope_tests::editor::{Editor, Options};
use serde_json::{Value, json};

fn found(editor: &mut Editor, query: &str) -> Vec<String> {
    let symbols = editor.request("workspace/symbol", json!({ "query": query }));
    let show = |symbol: &Value| {
        let start = &symbol["location"]["range"]["start"];
        let uri = symbol["location"]["uri"].as_str().unwrap();
        let inside = symbol["containerName"].as_str().unwrap_or("-");
        let name = symbol["name"].as_str().unwrap();
        format!("{name} in {inside}, {uri} {}:{}", start["line"], start["character"])
    };
    symbols.as_array().unwrap().iter().map(show).collect()
}

#[test]
fn every_open_file_is_searched() {
    let mut editor = Editor::start(Options::default());
    let b = editor.open("untitled:b", "tune: Low Water\nmeter: 6/8\n\npart A\n| 1:0 |\n\nphrase wade\n1:0\n");
    editor.open("untitled:a", "# é🎵\r\ntune: 🎵 Wading\r\nmeter: 6/8\r\n\r\ntune: Walls\r\nmeter: 6/8\r\n");
    assert_eq!(
        found(&mut editor, "WAD"),
        ["🎵 Wading in -, untitled:a 1:6", "phrase wade in Low Water, untitled:b 6:0"]
    );
    assert_eq!(found(&mut editor, "wl"), ["Walls in -, untitled:a 4:6"]);
    assert_eq!(found(&mut editor, "").len(), 5);
    assert_eq!(found(&mut editor, "zz"), [""; 0]);
    editor.close(&b);
    assert_eq!(found(&mut editor, "low"), [""; 0]);
}
