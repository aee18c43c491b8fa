//! The outside checks: Python programs that hold an independent judge's answer against ours.

use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;

use crate::program::{feed, root};

/// Runs `tests/outside/NAME.py` on `question`, given as JSON on its standard input.
///
/// A check that cannot run fails: one that is passed over would look like one that passed.
pub fn ask(name: &str, question: &Value) -> String {
    let script = root().join(format!("tests/outside/{name}.py"));
    let output =
        feed(Command::new(python()).args(["-W", "ignore"]).arg(script), question.to_string().as_bytes());
    let out = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{name}:\n{out}\n{}", String::from_utf8_lossy(&output.stderr));
    out
}

/// A file that `tests/all` put into its cache.
pub fn cached(path: &str) -> PathBuf {
    let path = root().join("tests/.cache").join(path);
    assert!(path.exists(), "{} is not there: run tests/all once, it installs it", path.display());
    path
}

/// The Python of the tests, with the packages of `tests/outside/requirements.txt`.
pub fn python() -> PathBuf {
    cached("venv/bin/python")
}
