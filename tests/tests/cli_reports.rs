//! The forms of a report: that they say everything, and say it in the right place.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;

use lope_tests::book::Book;
use lope_tests::program::root;
use serde_json::{Value, json};

const FAULTY: &str = "tune: The Short String\nmeter: 6/8\n\npart A\n| 1:0 t5:3 1:2  1:0 t 1:0 |\n";
const QUIET: &str = "[rules]\npart-length = \"off\"\n";

/// A book with findings of every level, mends of both kinds, wide characters, several tunes in a file, a
/// mistaken configuration, names that need escaping, and a file that cannot be read.
fn troubled() -> Book {
    let mends = "\
tune: <Ampersand> & \"Quote\"
meter: 6/8

part A x2
| \"二胡 🪕\" 2:0 t h1  1:0 t 1:0 | 1:0 h0 1:2  1:0 t |
| 2:0 2:1 2:0  1:0 t 1:0 | 1:0 t 1:0  1:0 t 1:0 |

tune: Another
meter: 9/8
part A
| 1:0 t5:3 ; 1:2  1:0 t 1:0 |
";
    Book::of(&[
        ("lope.toml", &b"levels = 3\n"[..]),
        ("short.lope", FAULTY.as_bytes()),
        ("50% of, them: all/\u{e9} & <b>.lope", mends.as_bytes()),
        ("binary.lope", b"\0\x01\x02"),
    ])
}

#[test]
fn the_json_document_is_the_one_described() {
    let described = fs::read_to_string(root().join("server/REPORTS.md")).unwrap();
    let described = described.split("```json\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
    let book = Book::of(&[("lope.toml", QUIET), ("jigs/short-string.lope", FAULTY)]);
    assert_eq!(book.run(&["check", "--as", "json"]).expect(1), described);
}

#[test]
fn json_tells_of_everything() {
    let report: Value = serde_json::from_str(&troubled().run(&["check", "--as", "json"]).expect(2)).unwrap();
    let paths: Vec<&str> =
        report["files"].as_array().unwrap().iter().map(|file| file["path"].as_str().unwrap()).collect();
    assert_eq!(paths, ["50% of, them: all/\u{e9} & <b>.lope", "short.lope", "lope.toml"]);
    assert_eq!(report["problems"][0]["path"], "binary.lope");
    assert_eq!(report["problems"][0]["column"], 1);
    let findings =
        report["files"].as_array().unwrap().iter().flat_map(|file| file["findings"].as_array().unwrap());
    let mut count = json!({ "error": 0, "warning": 0, "hint": 0 });
    for finding in findings {
        let level = finding["level"].as_str().unwrap();
        count[level] = json!(count[level].as_u64().unwrap() + 1);
    }
    for (level, key) in [("error", "errors"), ("warning", "warnings"), ("hint", "hints")] {
        assert_eq!(report["summary"][key], count[level], "{level}");
        assert_ne!(count[level], 0, "the book has something of every level");
    }
}

/// The edits of a mend make, where they say, the text that they say.
#[test]
fn edits_in_json_count_in_bytes_of_the_file() {
    let book = troubled();
    let report: Value = serde_json::from_str(&book.run(&["check", "--as", "json"]).expect(2)).unwrap();
    let file = &report["files"][0];
    let text = book.read(file["path"].as_str().unwrap());
    let hammer_on =
        file["findings"].as_array().unwrap().iter().find(|finding| finding["rule"] == "off-strike").unwrap();
    let byte = |place: &Value| usize::try_from(place["byte"].as_u64().unwrap()).unwrap();
    assert_eq!(&text[byte(&hammer_on["start"])..byte(&hammer_on["end"])], "h1");
    let edits = hammer_on["mends"][0]["edits"].as_array().unwrap();
    let mut mended = text.clone();
    for edit in edits.iter().rev() {
        mended.replace_range(byte(&edit["start"])..byte(&edit["end"]), edit["text"].as_str().unwrap());
    }
    assert_eq!(mended, text.replacen("h1", "2:1", 1));
}

#[test]
fn sarif_gives_every_rule_and_every_mend() {
    let report: Value = serde_json::from_str(&troubled().run(&["check", "--as", "sarif"]).expect(2)).unwrap();
    let run = &report["runs"][0];
    let rules = run["tool"]["driver"]["rules"].as_array().unwrap();
    for result in run["results"].as_array().unwrap() {
        let index = usize::try_from(result["ruleIndex"].as_u64().unwrap()).unwrap();
        assert_eq!(rules[index]["id"], result["ruleId"]);
    }
    let hammer_on =
        run["results"].as_array().unwrap().iter().find(|result| result["ruleId"] == "off-strike").unwrap();
    let physical = &hammer_on["locations"][0]["physicalLocation"];
    assert_eq!(
        physical["artifactLocation"]["uri"],
        "50%25%20of%2C%20them%3A%20all/%C3%A9%20%26%20%3Cb%3E.lope"
    );
    // `h1` in the line `| "二胡 🪕" 2:0 t h1  …`, counted in code points from 1.
    assert_eq!(
        physical["region"],
        json!({ "startLine": 5, "startColumn": 16, "endLine": 5, "endColumn": 18 })
    );
    let replacement = &hammer_on["fixes"][0]["artifactChanges"][0]["replacements"][0];
    assert_eq!(replacement["insertedContent"]["text"], "2:1");
    assert_eq!(run["invocations"][0]["executionSuccessful"], false);
}

#[test]
fn annotations_are_one_line_each_with_what_would_end_them_escaped() {
    let out = troubled().run(&["check", "--as", "annotations"]).expect(2);
    assert!(
        out.contains(
            "::error file=short.lope,line=5,endLine=5,col=7,endColumn=11,title=off-the-neck::part A, bar 1, count 2: \
             the drone has no fret 3: its peg sits at the fifth fret\n"
        ),
        "{out}"
    );
    assert!(out.contains("::warning file=50%25 of%2C them%3A all/\u{e9} & <b>.lope,line=5,"), "{out}");
    assert!(out.contains("::error file=binary.lope,line=1,col=1,title=lope::holds a zero byte"), "{out}");
    assert!(out.contains("::notice file="), "{out}");
    assert!(out.lines().all(|line| line.starts_with("::")), "{out}");
}
