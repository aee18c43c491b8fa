//! Tidying of a stretch, and while one types.

use lope_tests::editor::{Options, range};
use serde_json::{Value, json};

use super::counted::{Counted, ENCODINGS};

/// Checks what becomes of a text when `typed` has just been typed before its cursor.
#[track_caller]
fn check(typed: &str, marked: &str, expected: &str) {
    for line_break in ["\n", "\r\n"] {
        for encoding in ENCODINGS {
            let mut counted = Counted::open(Options::default(), encoding, &marked.replace('\n', line_break));
            let mut params = counted.here();
            params["ch"] = json!(typed);
            params["options"] = json!({ "tabSize": 4, "insertSpaces": true });
            let edits = counted.editor.request("textDocument/onTypeFormatting", params);
            assert_eq!(counted.edited(&edits), expected.replace('\n', line_break));
        }
    }
}

#[test]
fn a_bar_line_tidies_its_bar_and_a_line_break_its_line() {
    let head = "tune: 🎵\nmeter: 6/8\npart A\n";
    let with = |music: &str| format!("{head}{music}\n");
    check("|", &with("| \"é🎵\"  1:0 t  2:0 1:0 t 2:0|$0"), &with("| \"é🎵\" 1:0 t 2:0  1:0 t 2:0 |"));
    check("|", &with("| \"a|$0\"   1:0"), &with("| \"a|\"   1:0"));
    check(
        "\n",
        &with("| 1:0 t |\n| \"🎵\" 1:0  t 2:0 |  \n$0"),
        &with("| 1:0 t          |\n| \"🎵\" 1:0 t 2:0 |\n"),
    );
    check("x", &with("| 1:0    t |$0"), &with("| 1:0    t |"));
}

#[test]
fn a_stretch_is_tidied_alone() {
    let text = "tune:  🎵\nmeter: 6/8\n\npart  A\n| \"🎵\"  1:0   t |\n";
    for encoding in ENCODINGS {
        let mut counted = Counted::open(Options::default(), encoding, text);
        let mut edited = |range: Value| {
            let options = json!({ "tabSize": 4, "insertSpaces": true });
            let params = json!({ "textDocument": counted.document.id(), "range": range, "options": options });
            let edits = counted.editor.request("textDocument/rangeFormatting", params);
            counted.edited(&edits)
        };
        assert_eq!(edited(range((3, 0), (4, 0))), text.replace("part  A", "part A"));
        assert_eq!(edited(range((4, 0), (9, 9))), text.replace("\"  1:0   t", "\" 1:0 t"));
        assert_eq!(edited(range((9, 0), (99, 9))), text);
        assert_eq!(edited(range((0, 0), (99, 9))), "tune: 🎵\nmeter: 6/8\n\npart A\n| \"🎵\" 1:0 t |\n");
    }
}
