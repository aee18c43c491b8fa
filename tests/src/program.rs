//! The real program, built from this workspace and run as a player runs it.

use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus, Output, Stdio};
use std::sync::LazyLock;

use serde_json::Value;

/// The root of the workspace.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("this crate lives inside the workspace")
}

/// `lope` as it is today: cargo is asked, so that no test runs yesterday's program.
pub fn lope() -> &'static Path {
    static BUILT: LazyLock<PathBuf> = LazyLock::new(|| build(&["--package", "lope", "--bin", "lope"]));
    &BUILT
}

/// An example program of this crate, named as cargo names it.
pub fn example(name: &str) -> PathBuf {
    build(&["--package", "lope-tests", "--example", name])
}

/// What a run of the program left behind.
#[derive(Debug)]
pub struct Ran {
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
    /// How it ended.
    pub status: ExitStatus,
}

impl Ran {
    /// The exit code; a program ended by a signal has none, and fails the test.
    pub fn code(&self) -> i32 {
        self.status.code().unwrap_or_else(|| panic!("ended by a signal: {self:?}"))
    }

    /// Standard output of a run that must have ended with `code`.
    pub fn expect(self, code: i32) -> String {
        assert_eq!(self.code(), code, "out:\n{}\nerr:\n{}", self.out, self.err);
        self.out
    }
}

/// Runs `lope` with `args` in `folder`, with nothing on standard input.
pub fn run<A: AsRef<OsStr>>(folder: &Path, args: impl IntoIterator<Item = A>) -> Ran {
    run_with(folder, args, &[])
}

/// Runs `lope` with `args` in `folder` and `input` on standard input.
pub fn run_with<A: AsRef<OsStr>>(folder: &Path, args: impl IntoIterator<Item = A>, input: &[u8]) -> Ran {
    ran(feed(command(folder).args(args), input))
}

/// `lope`, in `folder`, with an environment that does not depend on who runs the tests.
pub fn command(folder: &Path) -> Command {
    let mut command = Command::new(lope());
    command.current_dir(folder);
    for name in ["NO_COLOR", "CLICOLOR_FORCE", "FORCE_COLOR", "RUST_LOG", "RUST_BACKTRACE"] {
        command.env_remove(name);
    }
    command
}

/// Runs `command` to its end with `input` on standard input.
pub fn feed(command: &mut Command, input: &[u8]) -> Output {
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| panic!("cannot start {command:?}: {error}"));
    let mut stdin = child.stdin.take().expect("its input was piped");
    std::thread::scope(|scope| {
        // Written beside the reading, so that neither side waits for the other with a full pipe. A program
        // that ends without reading its input is no failure here.
        scope.spawn(move || drop(stdin.write_all(input)));
        child.wait_with_output().expect("a child can be waited for")
    })
}

fn ran(output: Output) -> Ran {
    Ran {
        out: String::from_utf8(output.stdout).expect("standard output is UTF-8"),
        err: String::from_utf8(output.stderr).expect("standard error is UTF-8"),
        status: output.status,
    }
}

fn build(target: &[&str]) -> PathBuf {
    let output = Command::new(env!("CARGO"))
        .current_dir(root())
        .args(["build", "--quiet", "--message-format", "json-render-diagnostics"])
        .args(target)
        .stderr(Stdio::inherit())
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{target:?} does not build");
    String::from_utf8_lossy(&output.stdout)
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .find_map(|message| message["executable"].as_str().map(PathBuf::from))
        .unwrap_or_else(|| panic!("cargo names no program for {target:?}"))
}
