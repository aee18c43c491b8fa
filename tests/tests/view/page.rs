//! The page in a browser that nobody sees, used as a player uses it.

use std::process::Command;

use lope_tests::book::demo;
use lope_tests::outside::cached;
use lope_tests::program::{lope, root};

#[test]
fn a_player_uses_the_page() {
    cached("view/node_modules/axe-core");
    let book = lope_tests::book::Book::new();
    for (number, text) in demo().iter().enumerate() {
        book.write(&format!("{number}.lope"), text);
    }
    let walked =
        looked(Command::new("node").arg(root().join("tests/view/walk.mjs")).args([lope(), &book.folder()]));
    assert_eq!(walked.last().map(String::as_str), Some("all of it"), "{walked:?}");
}

#[test]
fn pages_on_a_disk_are_for_everybody_and_cut_nothing_off() {
    cached("view/node_modules/axe-core");
    let book = lope_tests::book::Book::new();
    for (number, text) in demo().iter().enumerate() {
        book.write(&format!("{number}.lope"), text);
    }
    let pages =
        [vec!["0.lope", "1.lope", "book.html"], vec!["2.lope", "large.html", "--large", "--findings"]];
    for page in &pages {
        book.run(&[&["make"], &page[..]].concat()).expect(0);
    }
    let files = ["book.html", "large.html"].map(|name| book.folder().join(name));
    let seen = looked(Command::new("node").arg(root().join("tests/view/files.mjs")).args(files));
    assert_eq!(seen.len(), 4 * pages.len() + 1, "{seen:?}");
}

/// What a script says that goes well, line by line.
fn looked(script: &mut Command) -> Vec<String> {
    let output = script.output().unwrap_or_else(|error| panic!("cannot start node: {error}"));
    let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{out}\n{err}");
    out.lines().map(str::to_owned).collect()
}
