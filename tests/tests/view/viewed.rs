//! The program while it shows something.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

use lope_tests::program;
use serde_json::{Value, json};

use super::wire::{self, Answer};

/// `lope view`, until this goes.
pub struct Viewed {
    pub child: Child,
    /// What it prints further.
    pub out: BufReader<ChildStdout>,
    /// What it printed first.
    pub address: String,
    pub port: u16,
    /// `/TOKEN/`
    pub below: String,
}

impl Viewed {
    /// Shows `what` of `folder`.
    pub fn new(folder: &Path, what: &str) -> Self {
        Self::of(program::command(folder).args(["view", "--no-open", what]).stdin(Stdio::null()))
    }

    /// Starts `command`, and waits for the address.
    pub fn of(command: &mut Command) -> Self {
        let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut address = String::new();
        out.read_line(&mut address).unwrap();
        let address = address.trim().to_owned();
        let rest = address.strip_prefix("http://127.0.0.1:").unwrap_or_else(|| panic!("{address:?}"));
        let (port, path) = rest.split_once('/').unwrap();
        let (port, below) = (port.parse().unwrap(), format!("/{path}"));
        Self { child, out, port, below, address }
    }

    /// What it answers to the page that asks for `what`, given below the token.
    pub fn get(&self, what: &str) -> Answer {
        let host = format!("host: 127.0.0.1:{}", self.port);
        wire::ask(self.port, &[&format!("GET {}{what}", self.below), &host], "")
    }

    /// What it shows of the first tune of `file`.
    pub fn tune(&self, file: &str) -> Value {
        self.get(&format!("tune?file={file}&number=0&width=500")).json()
    }

    /// What it says to a request for a mend.
    pub fn mend(&self, file: &str, stamp: &str, finding: usize, mend: usize) -> Answer {
        let asked = json!({ "file": file, "number": 0, "stamp": stamp, "finding": finding, "mend": mend });
        let port = self.port;
        let (host, origin) = (format!("host: 127.0.0.1:{port}"), format!("origin: http://127.0.0.1:{port}"));
        let lines = [&format!("POST {}mend", self.below), &host, &origin, "content-type: application/json"];
        wire::ask(port, &lines, &asked.to_string())
    }

    /// The turns it tells of, from now on.
    pub fn turns(&self) -> impl Iterator<Item = u64> + use<> {
        let lines = wire::listen(self.port, &format!("{}turns", self.below));
        lines.filter_map(|line| line.strip_prefix("data: ").map(|turn| turn.parse().unwrap()))
    }
}

impl Drop for Viewed {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
