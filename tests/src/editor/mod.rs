//! An editor's side of the protocol, over the pipes of a real `lope lsp`.

mod documents;
mod frame;
mod obliging;
mod options;
mod pipes;
mod process;
mod record;

use std::io::{BufReader, Write};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

pub use documents::{Document, range};
pub use frame::frame;
pub use options::Options;
pub use record::{By, Said};

use pipes::{Gate, collect, deliver};

use crate::{book, program};

/// How long anything may take before the test gives up: far longer than it ever takes.
pub const PATIENCE: Duration = Duration::from_secs(60);

/// A running server and what it has said.
pub struct Editor {
    child: Child,
    stdin: Option<ChildStdin>,
    incoming: Receiver<Result<Value, String>>,
    backlog: Vec<Value>,
    /// Whether what comes is read.
    gate: Arc<Gate>,
    /// What was said so far by either side, where that is written down.
    record: Option<Vec<Said>>,
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
        let gate = Arc::<Gate>::default();
        let watched = Arc::clone(&gate);
        thread::spawn(move || deliver(BufReader::new(stdout), &watched, &sender));
        let stderr = Arc::new(Mutex::new(String::new()));
        let (log, pipe) = (Arc::clone(&stderr), child.stderr.take().expect("its errors were piped"));
        thread::spawn(move || collect(pipe, &log));
        let stdin = child.stdin.take();
        let record = options.recorded.then(Vec::new);
        Self { child, stdin, incoming, backlog: Vec::new(), gate, record, stderr, options, last_id: 0 }
    }

    /// The `initialize` request: the server's answer.
    pub fn initialize(&mut self) -> Value {
        let folder = self.options.folder.as_deref().map(book::uri);
        let folders = folder.as_ref().map(|uri| json!([{ "uri": uri, "name": "book" }]));
        let mut params = json!({
            "processId": self.options.process,
            "rootUri": folder,
            "workspaceFolders": folders,
            "initializationOptions": self.options.at_start,
            "capabilities": self.options.capabilities,
        });
        if let Some(name) = &self.options.name {
            params["clientInfo"] = json!({ "name": name });
        }
        self.request("initialize", params)
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
                    self.record(By::Server, &message);
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

    fn write(&mut self, message: &Value) {
        self.record(By::Client, message);
        self.raw(&frame(message.to_string()));
    }
}

impl Drop for Editor {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
