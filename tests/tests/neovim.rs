//! Neovim, the editor itself, on the demo book.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::process::Command;

use lope_tests::book::Book;
use lope_tests::outside::cached;
use lope_tests::program::{lope, root};
use serde_json::Value;

#[test]
fn a_player_sees_a_finding_asks_mends_and_tidies() {
    let book = Book::new();
    book.run(&["start", "harbour"]);
    let tune = book.path("harbour/mind-the-wet-step.lope");
    let output = Command::new(cached("venv/bin/nvim"))
        .args(["--headless", "-u", "NONE", "-l"])
        .arg(root().join("tests/editors/neovim/steps.lua"))
        .args([lope(), &tune])
        // The editor keeps its state and log in the book's folder, not in the player's home.
        .envs(["XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME"].map(|name| (name, book.folder())))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}");
    let seen: Value =
        serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{error}: {said}"));
    let text = |name: &str| seen[name].as_str().unwrap_or_else(|| panic!("no {name} in {seen}")).to_owned();

    let message = seen["finding"]["message"].as_str().unwrap();
    assert!(message.contains("note 3 of the group is a hammer-on, but the hand falls here"), "{message}");
    assert!(text("hover").contains("the hand should fall and strike here, and does not"), "{seen}");
    let (before, after) = (text("line_before"), text("line_after"));
    assert_eq!(after.split_whitespace().collect::<Vec<_>>().join(" "), {
        let words: Vec<&str> = before.split_whitespace().collect();
        words.join(" ").replacen("t h2 |", "t 3:2 |", 1)
    });
    let count = |value: &Value| value.as_u64().unwrap();
    assert_eq!(count(&seen["count_after"]) + 1, count(&seen["finding"]["count"]), "{seen}");
    let formatted = text("line_formatted");
    assert_ne!(
        formatted,
        after.split_whitespace().collect::<Vec<_>>().join(" "),
        "formatting parts the groups"
    );
    assert_eq!(
        formatted.split_whitespace().collect::<Vec<_>>(),
        after.split_whitespace().collect::<Vec<_>>(),
        "formatting changes blanks only"
    );
}
