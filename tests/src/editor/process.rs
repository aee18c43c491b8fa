use std::process::ExitStatus;
use std::time::{Duration, Instant};
use std::{fs, thread};

use serde_json::Value;

use super::{By, Editor, PATIENCE};

impl Editor {
    /// `shutdown`, `exit`, and how the server then ends.
    pub fn stop(mut self) -> ExitStatus {
        self.request("shutdown", Value::Null);
        self.notify("exit", Value::Null);
        self.ended()
    }

    /// Closes the server's input.
    pub fn hang_up(&mut self) {
        self.stdin = None;
    }

    /// How the server ends, which it must do by itself.
    pub fn ended(&mut self) -> ExitStatus {
        let deadline = Instant::now() + PATIENCE;
        while Instant::now() < deadline {
            if let Some(status) = self.child.try_wait().expect("a child can be waited for") {
                return status;
            }
            thread::sleep(Duration::from_millis(5));
        }
        panic!("the server goes on\n{}", self.stderr());
    }

    /// Everything the server still says up to its end; then how it ends.
    pub fn last_words(&mut self) -> (Vec<Value>, ExitStatus) {
        while let Ok(message) = self.incoming.recv_timeout(PATIENCE) {
            let message = message.unwrap_or_else(|broken| panic!("{broken}\n{}", self.stderr()));
            self.record(By::Server, &message);
            self.backlog.push(message);
        }
        (std::mem::take(&mut self.backlog), self.ended())
    }

    /// Lets the server write into a full pipe, until it is read on.
    pub fn stop_reading(&mut self) {
        self.gate.set(false);
    }

    /// Reads on.
    pub fn read_on(&mut self) {
        self.gate.set(true);
    }

    /// Whether the server is still there.
    pub fn lives(&mut self) -> bool {
        self.child.try_wait().expect("a child can be waited for").is_none()
    }

    /// What the server wrote to standard error so far.
    pub fn stderr(&self) -> String {
        self.stderr.lock().expect("nobody panics while writing down").clone()
    }

    /// Waits until the server has written `words` to standard error, which comes by a way of its own.
    pub fn wait_for_log(&self, words: &str) {
        let deadline = Instant::now() + PATIENCE;
        while !self.stderr().contains(words) {
            assert!(Instant::now() < deadline, "no {words:?} in\n{}", self.stderr());
            thread::sleep(Duration::from_millis(5));
        }
    }

    /// The server's resident memory, in KiB.
    pub fn resident(&self) -> u64 {
        let status =
            fs::read_to_string(format!("/proc/{}/status", self.child.id())).expect("the server is there");
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:")).expect("a process has memory");
        line.trim().trim_end_matches(" kB").parse().expect("a number of kB")
    }
}
