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

    /// The next remark the server makes for the editor's log that has `words` in it.
    pub fn wait_for_log(&mut self, words: &str) -> String {
        let said = |message: &Value| message["params"]["message"].as_str().unwrap_or_default().to_owned();
        let remark =
            self.wait(|message| message["method"] == "window/logMessage" && said(message).contains(words));
        said(&remark)
    }

    /// Waits until the server has used no processor time for half a second.
    pub fn wait_until_idle(&self) {
        // The processor time of the process and of the system for it are fields 14 and 15 (proc(5)); the second
        // stands in parentheses and may hold blanks.
        let used = || {
            let stat = fs::read_to_string(format!("/proc/{}/stat", self.child.id()))?;
            let fields = stat.rsplit(") ").next().unwrap_or_default().split(' ');
            std::io::Result::Ok(fields.skip(11).take(2).map(str::to_owned).collect::<Vec<_>>())
        };
        let mut before = None;
        loop {
            let now = used().expect("the server is there");
            if before.as_ref() == Some(&now) {
                return;
            }
            before = Some(now);
            thread::sleep(Duration::from_millis(500));
        }
    }

    /// The memory the server has taken, in KiB. The pages of the program itself, of which a debug build has many,
    /// are not counted.
    pub fn resident(&self) -> u64 {
        let status =
            fs::read_to_string(format!("/proc/{}/status", self.child.id())).expect("the server is there");
        let line =
            status.lines().find_map(|line| line.strip_prefix("RssAnon:")).expect("a process has memory");
        line.trim().trim_end_matches(" kB").parse().expect("a number of kB")
    }
}
