//! What is found, as the editor is told it.

use lope_tests::book::Book;
use lope_tests::editor::{Editor, Options};
use lope_tests::tunes::{self, Trouble};
use serde_json::{Value, json};

use super::{CLEAN, STUMBLE, places, with};

#[test]
fn a_finding_says_what_where_how_bad_and_by_which_rule() {
    let (mut editor, document) = with(STUMBLE);
    let found = editor.diagnostics(&document);
    let [found] = &found[..] else { panic!("{found:#?}") };
    assert_eq!(found["code"], "off-strike");
    assert_eq!(found["source"], "lope");
    assert_eq!(found["severity"], 2);
    let message = found["message"].as_str().unwrap();
    assert!(message.starts_with("part A, bar 1, count 6: "), "{message}");
}

#[test]
fn other_places_are_told_to_editors_that_show_them() {
    // The name of a phrase nobody calls has none; a circle of phrases has.
    let text = "tune: A\nmeter: 6/8\npart A\n| @a |\nphrase a\n@b\nphrase b\n@a\n";
    let related = |options: Options| {
        let mut editor = Editor::start(options);
        let document = editor.open("untitled:a", text);
        let found = editor.diagnostics(&document);
        found.iter().map(|found| found["relatedInformation"].clone()).find(|related| !related.is_null())
    };
    let mut plain = Options::default();
    plain.capabilities["textDocument"]["publishDiagnostics"] = json!({});
    assert_eq!(related(plain), None);
    if let Some(related) = related(Options::default()) {
        assert_eq!(related[0]["location"]["uri"], "untitled:a");
    }
}

#[test]
fn a_title_that_an_earlier_tune_has_is_found_for_as_long_as_it_has() {
    let text = format!("{CLEAN}\n{}\n{CLEAN}", CLEAN.replace("Tight", "Third"));
    let (mut editor, mut document) = with(&text);
    let found = editor.diagnostics(&document);
    assert_eq!(places(&found), ["12:6-12:23 same-title"]);
    assert_eq!(found[0]["message"], "another tune has this title: see line 1");
    editor.edit(&mut document, (0, 0), (0, 0), "# The first\n");
    let found = editor.diagnostics(&document);
    assert_eq!(places(&found), ["13:6-13:23 same-title"]);
    assert_eq!(found[0]["message"], "another tune has this title: see line 2");
    editor.edit(&mut document, (7, 10), (7, 15), "Tight");
    assert_eq!(places(&editor.diagnostics(&document)), ["7:6-7:23 same-title", "13:6-13:23 same-title"]);
    editor.edit(&mut document, (1, 10), (1, 15), "Loose");
    assert_eq!(places(&editor.diagnostics(&document)), ["13:6-13:23 same-title"]);
    editor.edit(&mut document, (13, 23), (13, 23), " # keep same-title: two settings");
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
}

/// What is found and what would mend it, as `lope check --as json` and as an editor are told, to compare.
#[test]
fn editor_and_terminal_find_the_same_and_mend_it_the_same_way() {
    let text: String = (0..12).map(|seed| tunes::tune(seed, 600, Trouble::Often)).collect();
    let book = Book::of(&[("tunes.lope", &text)]);
    let report: Value =
        serde_json::from_str(&book.run(&["check", "--as", "json", "tunes.lope"]).out).unwrap();
    let terminal = told_in_terminal(&report);
    assert!(terminal.len() > 50, "{}", terminal.len());

    let mut editor = Editor::start(Options::in_folder(book.folder()).counting_in(&["utf-32"]));
    let document = editor.open(&book.uri("tunes.lope"), &text);
    let found = editor.diagnostics(&document);
    let told: Vec<String> = found
        .iter()
        .map(|found| {
            let actions = editor.actions(&document, found["range"].clone(), &[]);
            let mends = actions.iter().filter(|action| {
                action["kind"] == "quickfix" && action["diagnostics"].as_array().unwrap().contains(found)
            });
            let mut mends: Vec<&str> = mends.map(|mend| mend["title"].as_str().unwrap()).collect();
            mends.sort_unstable();
            let start = &found["range"]["start"];
            let (line, column) =
                (start["line"].as_u64().unwrap() + 1, start["character"].as_u64().unwrap() + 1);
            format!("{line}:{column} {} {mends:?}", found["code"].as_str().unwrap())
        })
        .collect();
    assert_eq!(told, terminal);
}

fn told_in_terminal(report: &Value) -> Vec<String> {
    let findings = report["files"][0]["findings"].as_array().unwrap_or_else(|| panic!("{report:#}"));
    let told = findings.iter().map(|found| {
        let mends = found["mends"].as_array().unwrap();
        let mut mends: Vec<&str> = mends.iter().map(|mend| mend["title"].as_str().unwrap()).collect();
        mends.sort_unstable();
        let start = &found["start"];
        format!("{}:{} {} {mends:?}", start["line"], start["column"], found["rule"].as_str().unwrap())
    });
    told.collect()
}
