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
    let output = Command::new("node")
        .arg(root().join("tests/view/walk.mjs"))
        .args([lope(), &book.folder()])
        .output()
        .unwrap_or_else(|error| panic!("cannot start node: {error}"));
    let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{out}\n{err}");
    let walked: Vec<&str> = out.lines().collect();
    assert_eq!(walked.last(), Some(&"all of it"), "{out}");
}
