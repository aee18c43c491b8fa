//! Reports for other programs, held to the published schemas.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use lope_tests::book::Book;
use lope_tests::outside::{ask, cached};
use serde_json::{Value, json};

/// A book whose names and texts are as awkward as a report can meet: markup, quotes, control characters,
/// characters beyond the basic plane before a finding, every level, and a file that cannot be read.
fn awkward() -> Book {
    let trouble =
        "tune: <b>Salt & \"Rust\"</b>\nmeter: 6/8\ncolour: blue\n\npart A\n| \"🪕 é\" 1:2- t  1:0 t 1:2 |\n";
    Book::of(&[
        ("a & <b> \"c\" 'd'.lope", trouble.as_bytes()),
        ("deep/é 🪕 #%41.lope", trouble.replace('\n', "\r\n").as_bytes()),
        (
            "control.lope",
            b"tune: \x01\x0b\x1b[31m\nmeter: 6/8\n\npart A\n| 1:2 \x01 ]]> \xef\xbf\xbe 1:0- 1:2 |\n",
        ),
        ("clean.lope", b"tune: Clean\nmeter: 6/8\n\npart A\n| 1:2- 1:0  1:2 t 1:0 | % | % | % |\n"),
        ("latin.lope", b"tune: Caf\xe9\nmeter: 6/8\n\npart A\n| 1:2 |\n"),
    ])
}

fn findings(book: &Book) -> Vec<Value> {
    let report: Value = serde_json::from_str(&book.run(&["check", "--as", "json"]).out).unwrap();
    let files = report["files"].as_array().unwrap().iter();
    files.flat_map(|file| file["findings"].as_array().unwrap().clone()).collect()
}

#[test]
fn sarif_follows_the_standard() {
    for book in [awkward(), Book::new()] {
        let ran = book.run(&["check", "--as", "sarif"]);
        let question = json!({
            "schema": cached("sarif-2.1.0-rtm.5.json"), "text": ran.out, "folder": book.folder(),
            "results": findings(&book).len(),
        });
        ask("sarif", &question);
    }
}

#[test]
fn junit_follows_the_schema() {
    for book in [awkward(), Book::new()] {
        let failing = findings(&book).iter().filter(|finding| finding["level"] != "hint").count();
        let ran = book.run(&["check", "--as", "junit"]);
        ask("junit", &json!({ "text": ran.out, "failures": failing }));
    }
}

#[test]
fn json_places_each_finding_alike_in_bytes_and_in_characters() {
    let book = awkward();
    let report: Value = serde_json::from_str(&book.run(&["check", "--as", "json"]).out).unwrap();
    let mut seen = 0;
    for file in report["files"].as_array().unwrap() {
        let bytes = std::fs::read(book.path(file["path"].as_str().unwrap())).unwrap();
        let Ok(text) = String::from_utf8(bytes) else { continue };
        for finding in file["findings"].as_array().unwrap() {
            for end in ["start", "end"] {
                let number = |name: &str| usize::try_from(finding[end][name].as_u64().unwrap()).unwrap();
                let before = &text[..number("byte")];
                let line = before.rfind('\n').map_or(0, |at| at + 1);
                assert_eq!(number("line"), before.matches('\n').count() + 1, "{finding}");
                assert_eq!(number("column"), before[line..].chars().count() + 1, "{finding}");
            }
            seen += 1;
        }
    }
    assert!(seen > 4, "{report}");
}
