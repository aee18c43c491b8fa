//! The workspace holds what its code map promises: arrows between the crates point down, heavy
//! dependencies stay fenced, and the code is formatted and free of lint.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use lope_tests::program::root;
use serde_json::Value;

/// What each crate of the program may name among its dependencies, and nothing else of ours.
const ARROWS: &[(&str, &[&str])] = &[
    ("lope-syntax", &[]),
    ("lope-tune", &["lope-syntax"]),
    ("lope-hand", &["lope-tune"]),
    ("lope-tidy", &["lope-syntax", "lope-tune"]),
    ("lope-sound", &["lope-tune"]),
    ("lope-exchange", &["lope-tune"]),
    ("lope-arrange", &["lope-tune", "lope-hand"]),
    ("lope-sheet", &["lope-tune", "lope-hand"]),
    ("lope-rules", &["lope-syntax", "lope-tune", "lope-hand"]),
    ("lope-desk", &["lope-syntax", "lope-tune", "lope-hand", "lope-arrange", "lope-rules", "lope-tidy"]),
    (
        "lope",
        &[
            "lope-syntax",
            "lope-tune",
            "lope-hand",
            "lope-rules",
            "lope-sheet",
            "lope-sound",
            "lope-exchange",
            "lope-arrange",
            "lope-tidy",
            "lope-desk",
        ],
    ),
];

/// What belongs to the top floor alone: the disk, the clock, the network and their protocols.
const TOP_FLOOR: &[&str] =
    &["tokio", "tower-lsp", "ropey", "ignore", "clap", "tempfile", "axum", "notify", "open", "getrandom"];

/// Floors that read no file, no clock, no environment, and print nothing.
const STILL_ROOMS: &[&str] = &[
    "grammar/syntax",
    "grammar/tune",
    "server/hand",
    "server/rules",
    "server/sheet",
    "server/sound",
    "server/exchange",
    "server/arrange",
    "server/tidy",
    "server/desk",
];

/// How a crate would break that silence.
const NOISES: &[&str] = &[
    "std::fs",
    "std::env",
    "std::net",
    "std::process",
    "std::thread",
    "std::io::std",
    "Instant::now",
    "SystemTime",
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
];

#[test]
fn arrows_point_down() {
    let manifests = manifests();
    for (package, allowed) in ARROWS {
        let named = manifests.get(*package).unwrap_or_else(|| panic!("no crate is called {package}"));
        for name in named.iter().filter(|name| name.starts_with("lope")) {
            assert!(allowed.contains(&name.as_str()), "{package} must not depend on {name}");
        }
    }
    for package in manifests.keys().filter(|package| *package != "lope-tests") {
        assert!(
            ARROWS.iter().any(|(name, _)| name == package),
            "say in the table which floor {package} is on"
        );
    }
}

#[test]
fn heavy_dependencies_stay_on_the_top_floor() {
    let manifests = manifests();
    for (package, named) in
        manifests.iter().filter(|(package, _)| !["lope", "lope-tests"].contains(&package.as_str()))
    {
        for name in named {
            assert!(!TOP_FLOOR.contains(&name.as_str()), "{package} must not depend on {name}");
        }
    }
    assert_eq!(
        manifests["lope-syntax"].iter().filter(|name| *name == "logos").count(),
        1,
        "syntax lexes with logos"
    );
}

#[test]
fn the_floors_below_are_still() {
    for room in STILL_ROOMS {
        for path in
            files(&root().join(room)).filter(|path| path.extension().is_some_and(|ending| ending == "rs"))
        {
            let text = fs::read_to_string(&path).unwrap();
            let program = text.split("#[cfg(test)]").next().unwrap_or_default();
            for noise in NOISES {
                let said =
                    program.lines().any(|line| !line.trim_start().starts_with("//") && line.contains(noise));
                assert!(!said, "{} says {noise}", path.display());
            }
        }
    }
}

#[test]
fn versions_and_lints_are_set_once_for_all() {
    let members = files(root()).filter(|path| path.ends_with("Cargo.toml") && path.parent() != Some(root()));
    // What is measured beside has a workspace of its own, so that no test waits for it to build.
    for manifest in members.filter(|path| !path.starts_with(root().join("tests/bench/yardsticks"))) {
        let text = fs::read_to_string(&manifest).unwrap();
        assert!(text.contains("[lints]\nworkspace = true"), "{} has lints of its own", manifest.display());
        let mut dependencies = false;
        for line in text.lines() {
            if line.starts_with('[') {
                dependencies = line.contains("dependencies");
            } else if dependencies && line.contains('=') && !line.starts_with('#') {
                let shared = line.contains("workspace = true");
                assert!(shared, "{}: {line:?} belongs in the root manifest", manifest.display());
            }
        }
    }
}

#[test]
fn no_file_speaks_of_how_the_work_is_organised() {
    let words = [
        ["..", "/shared"],
        [".lib", "rary"],
        ["/work", "/"],
        ["issues ", "show"],
        ["BRIEF", ".md"],
        ["seed ", "document"],
    ];
    let words = words.map(|halves| halves.concat());
    for path in files(root()) {
        let Ok(text) = fs::read_to_string(&path) else { continue };
        for word in &words {
            assert!(!text.contains(word), "{} speaks of {word:?}", path.display());
        }
    }
}

#[test]
fn code_is_formatted() {
    passes(&["fmt", "--all", "--check"]);
}

#[test]
fn code_is_free_of_lint() {
    passes(&["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"]);
}

fn passes(args: &[&str]) {
    let output = Command::new(env!("CARGO")).current_dir(root()).args(args).output().unwrap();
    let said = [output.stdout, output.stderr].concat();
    assert!(output.status.success(), "cargo {args:?}:\n{}", String::from_utf8_lossy(&said));
}

/// The crates of the workspace with what each names among its dependencies, those of its tests left out.
fn manifests() -> BTreeMap<String, Vec<String>> {
    let args = ["metadata", "--no-deps", "--offline", "--format-version", "1"];
    let output = Command::new(env!("CARGO")).current_dir(root()).args(args).output().unwrap();
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let packages = metadata["packages"].as_array().unwrap().iter();
    packages
        .map(|package| {
            let named = package["dependencies"].as_array().unwrap().iter();
            (
                text(&package["name"]),
                named.filter(|named| named["kind"].is_null()).map(|named| text(&named["name"])).collect(),
            )
        })
        .collect()
}

/// The files below `folder` that belong to the project: those that git knows, or would.
fn files(folder: &Path) -> impl Iterator<Item = PathBuf> {
    let args = ["ls-files", "--cached", "--others", "--exclude-standard", "-z"];
    let output = Command::new("git").current_dir(folder).args(args).output().unwrap();
    assert!(output.status.success(), "git lists the files of {}", folder.display());
    let names = String::from_utf8(output.stdout).unwrap();
    let paths: Vec<PathBuf> = names.split_terminator('\0').map(|name| folder.join(name)).collect();
    paths.into_iter().filter(|path| path.is_file())
}
