//! The editors themselves, each with what `editors/` has for it, put through the same steps.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

mod steps;

use std::fs;
use std::process::Command;

use lope_tests::outside::{cached, python};
use lope_tests::program::{lope, root};

use serde_json::json;

use self::steps::Steps;

#[test]
fn neovim() {
    let parser = tempfile::tempdir().unwrap();
    let library = parser.path().join("parser/lope.so");
    fs::create_dir(parser.path().join("parser")).unwrap();
    let source = root().join("grammar/tree-sitter/src");
    done(
        Command::new("cc")
            .args(["-shared", "-fPIC", "-I"])
            .arg(&source)
            .args([source.join("parser.c"), source.join("scanner.c")])
            .arg("-o")
            .arg(&library),
    );
    let steps = Steps::new();
    let seen = steps.walk(
        Command::new(cached("venv/bin/nvim"))
            .args(["--headless", "-u", "NONE", "-l"])
            .arg(root().join("tests/editors/neovim/steps.lua"))
            .arg(root().join("editors/neovim"))
            .arg(parser.path())
            .args([lope(), &steps.tune()]),
    );
    // The grammar's queries colour the note that is found: a hammer-on.
    assert_eq!(seen["colours"], json!(["function.builtin"]));
}

#[test]
fn vs_code() {
    // The extension as players get it: built, packed, unpacked.
    done(&mut Command::new(root().join("editors/vscode/build")));
    let unpacked = tempfile::tempdir().unwrap();
    let package = root().join("editors/vscode/dist/lope.vsix");
    done(Command::new(python()).args(["-m", "zipfile", "-e"]).arg(package).arg(unpacked.path()));
    cached("code-server");
    // On this machine, and in a browser that is far from it.
    for name in ["127.0.0.1", "code.example"] {
        let steps = Steps::new();
        let seen = steps.look(
            Command::new("node")
                .arg(root().join("tests/editors/vscode/sheet.mjs"))
                .arg(unpacked.path().join("extension"))
                .args([lope(), &steps.tune()])
                .arg(name),
        );
        let (before, after) = ("The Slipway at Noon", "The Slipway at Noon Again");
        let wanted = json!({
            "title": before, "bars": 4, "saved": after, "findings": 2, "mended": 1, "late": 0
        });
        assert_eq!(seen, wanted, "{name}");
    }
    let steps = Steps::new();
    let seen = steps.walk(
        Command::new("node")
            .arg(root().join("tests/editors/vscode/run.mjs"))
            .arg(unpacked.path().join("extension"))
            .args([lope(), &steps.tune()]),
    );
    assert!(seen["own"]["hints"].as_u64() > Some(0), "{seen}");
    let page = seen["own"]["page"].as_str().unwrap();
    assert!(page.starts_with("off-strike (warning, right hand)"), "{page}");
    // Asked for twice, a tune has one panel.
    assert_eq!(seen["own"]["sheet"], 1, "{seen}");
}

#[test]
fn emacs_with_eglot() {
    let steps = Steps::new();
    let seen = steps.walk(
        Command::new("emacs")
            .args(["--batch", "-Q", "-l"])
            .arg(root().join("tests/editors/emacs/steps.el"))
            .arg(root().join("editors/emacs"))
            .args([lope(), &steps.tune()]),
    );
    assert_eq!(seen["colours"], "font-lock-builtin-face");
}

#[test]
fn vim_with_ale() {
    let steps = Steps::new();
    let seen = steps.walk(
        Command::new("vim.nox")
            .args(["-n", "-N", "-e", "-s", "-u"])
            .arg(root().join("tests/editors/vim/steps.vim"))
            .env("LOPE_PLUGIN", root().join("editors/vim"))
            .env("LOPE", lope())
            .env("LOPE_TUNE", steps.tune()),
    );
    assert_eq!(seen["colours"], "lopeSlur");
}

/// Runs `command`, which must succeed.
fn done(command: &mut Command) {
    let output = command.output().unwrap_or_else(|error| panic!("cannot start {command:?}: {error}"));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command:?}:\n{}\n{said}", String::from_utf8_lossy(&output.stdout));
}
