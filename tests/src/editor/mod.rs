//! An editor's side of the protocol, over the pipes of a real `lope lsp`.

mod documents;
mod frame;
mod options;

use std::io::{BufReader, Read, Write};
use std::process::{Child, ChildStdin, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use std::{fs, thread};

use serde_json::{Value, json};

pub use documents::{Document, range};
pub use frame::frame;
pub use options::Options;

use crate::{book, program};

/// How long anything may take before the test gives up: far longer than it ever takes.
pub const PATIENCE: Duration = Duration::from_secs(60);

/// A running server and what it has said.
pub struct Editor {
    child: Child,
    stdin: Option<ChildStdin>,
    incoming: Receiver<Result<Value, String>>,
    backlog: Vec<Value>,
    stderr: Arc<Mutex<String>>,
    options: Options,
    last_id: i64,
}

impl Editor {
    /// Starts a server and shakes hands with it.
    pub fn start(options: Options) -> Self {
        let mut editor = Self::spawn(options);
        editor.initialize();
        editor.notify("initialized", json!({}));
        editor
    }

    /// Starts a server and says nothing yet.
    pub fn spawn(options: Options) -> Self {
        let mut command = program::command(&std::env::temp_dir());
        command.arg("lsp").args(&options.args).envs(options.env.iter().cloned());
        Self::over(command, options)
    }

    /// Talks to the server that `command` starts.
    pub fn over(mut command: Command, options: Options) -> Self {
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap_or_else(|error| panic!("cannot start {command:?}: {error}"));
        let (sender, incoming) = channel();
        let stdout = child.stdout.take().expect("its output was piped");
        thread::spawn(move || deliver(BufReader::new(stdout), &sender));
        let stderr = Arc::new(Mutex::new(String::new()));
        let (log, pipe) = (Arc::clone(&stderr), child.stderr.take().expect("its errors were piped"));
        thread::spawn(move || collect(pipe, &log));
        let stdin = child.stdin.take();
        Self { child, stdin, incoming, backlog: Vec::new(), stderr, options, last_id: 0 }
    }

    /// The `initialize` request: the server's answer.
    pub fn initialize(&mut self) -> Value {
        let folder = self.options.folder.as_deref().map(book::uri);
        let folders = folder.as_ref().map(|uri| json!([{ "uri": uri, "name": "book" }]));
        self.request(
            "initialize",
            json!({
                "processId": self.options.process,
                "rootUri": folder,
                "workspaceFolders": folders,
                "initializationOptions": self.options.at_start,
                "capabilities": self.options.capabilities,
            }),
        )
    }

    /// The result of a request that must succeed.
    pub fn request(&mut self, method: &str, params: Value) -> Value {
        let answer = self.ask(method, params);
        answer.unwrap_or_else(|error| panic!("{method}: {error}\n{}", self.stderr()))
    }

    /// The result of a request, or the error the server answers with.
    pub fn ask(&mut self, method: &str, params: Value) -> Result<Value, Value> {
        let id = self.send(method, params);
        self.answer(id)
    }

    /// Sends a request without waiting: its number, for [`Editor::answer`].
    pub fn send(&mut self, method: &str, params: Value) -> i64 {
        self.last_id += 1;
        let id = self.last_id;
        self.write(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
        id
    }

    /// The answer to the request numbered `id`.
    pub fn answer(&mut self, id: i64) -> Result<Value, Value> {
        let mut answer = self.wait(|message| message["id"] == id && message.get("method").is_none());
        match answer.get_mut("error") {
            Some(error) => Err(error.take()),
            None => Ok(answer["result"].take()),
        }
    }

    /// Sends a notification.
    pub fn notify(&mut self, method: &str, params: Value) {
        self.write(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    /// Sends bytes as they are, frames or not.
    pub fn raw(&mut self, bytes: &[u8]) {
        let stdin = self.stdin.as_mut().expect("the input is still open");
        let sent = stdin.write_all(bytes).and_then(|()| stdin.flush());
        sent.unwrap_or_else(|error| panic!("the server hung up: {error}\n{}", self.stderr()));
    }

    /// The first message that is `wanted`, among those that came and were not asked for yet, or to come.
    pub fn wait(&mut self, wanted: impl Fn(&Value) -> bool) -> Value {
        let deadline = Instant::now() + PATIENCE;
        if let Some(at) = self.backlog.iter().position(&wanted) {
            return self.backlog.remove(at);
        }
        loop {
            match self.incoming.recv_timeout(deadline.saturating_duration_since(Instant::now())) {
                Ok(Ok(message)) => {
                    self.oblige(&message);
                    if wanted(&message) {
                        return message;
                    }
                    self.backlog.push(message);
                }
                Ok(Err(broken)) => panic!("{broken}\n{}", self.stderr()),
                Err(RecvTimeoutError::Timeout) => {
                    panic!("no answer; got {:#?}\n{}", self.backlog, self.stderr())
                }
                Err(RecvTimeoutError::Disconnected) => panic!("the server ended\n{}", self.stderr()),
            }
        }
    }

    /// Every message that came and was not waited for, once the server has answered what was sent so far.
    pub fn settle(&mut self) -> Vec<Value> {
        // A method nobody has: every server must answer it, with an error, after what came before.
        let _ = self.ask("$/settle", Value::Null);
        std::mem::take(&mut self.backlog)
    }

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

    fn write(&mut self, message: &Value) {
        self.raw(&frame(message.to_string()));
    }

    /// Sets `settings` for the server, and says that there is something new.
    pub fn set(&mut self, settings: Value) {
        self.options.settings = settings;
        let sent = json!({ "settings": { "lope": self.options.settings } });
        self.notify("workspace/didChangeConfiguration", sent);
    }

    /// Answers a request of the server's, as an editor with its user's settings would.
    fn oblige(&mut self, message: &Value) {
        let (Some(id), Some(method), true) =
            (message.get("id"), message["method"].as_str(), self.options.answers)
        else {
            return;
        };
        let result = match method {
            "workspace/configuration" => message["params"]["items"].as_array().map(|items| {
                let known = |item: &Value| item["section"] == "lope";
                let settings = |item| if known(item) { self.options.settings.clone() } else { Value::Null };
                items.iter().map(settings).collect()
            }),
            "workspace/applyEdit" => Some(json!({ "applied": true })),
            _ => None,
        };
        self.write(&json!({ "jsonrpc": "2.0", "id": id, "result": result }));
    }
}

impl Drop for Editor {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Hands over each message of `stream`; ends at its end, or at the first byte that is no message.
fn deliver(mut stream: BufReader<impl Read>, sender: &Sender<Result<Value, String>>) {
    loop {
        let message = match frame::read(&mut stream) {
            Ok(None) => return,
            Ok(Some(body)) => serde_json::from_slice(&body).map_err(|error| error.to_string()),
            Err(error) => Err(error.to_string()),
        };
        let broken = message.is_err();
        if sender.send(message).is_err() || broken {
            return;
        }
    }
}

/// Writes down what comes out of `pipe`, as it comes.
fn collect(mut pipe: impl Read, log: &Mutex<String>) {
    let mut chunk = [0; 4096];
    while let Ok(size @ 1..) = pipe.read(&mut chunk) {
        log.lock()
            .expect("nobody panics while writing down")
            .push_str(&String::from_utf8_lossy(&chunk[..size]));
    }
}
