//! What reads the server's pipes, each on a thread of its own.

use std::io::{BufReader, Read};
use std::sync::mpsc::Sender;
use std::sync::{Condvar, Mutex};

use serde_json::Value;

use super::frame;

/// Stands before a pipe: while it is closed nothing is read, and the pipe fills.
pub struct Gate {
    open: Mutex<bool>,
    opened: Condvar,
}

impl Default for Gate {
    fn default() -> Self {
        Self { open: Mutex::new(true), opened: Condvar::new() }
    }
}

impl Gate {
    /// Opens or closes it.
    pub fn set(&self, open: bool) {
        *self.open.lock().expect("nobody panics at the gate") = open;
        self.opened.notify_all();
    }

    fn pass(&self) {
        let open = self.open.lock().expect("nobody panics at the gate");
        drop(self.opened.wait_while(open, |open| !*open));
    }
}

/// Hands over each message of `stream`; ends at its end, or at the first byte that is no message.
pub fn deliver(mut stream: BufReader<impl Read>, gate: &Gate, sender: &Sender<Result<Value, String>>) {
    loop {
        gate.pass();
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
pub fn collect(mut pipe: impl Read, log: &Mutex<String>) {
    let mut chunk = [0; 4096];
    while let Ok(size @ 1..) = pipe.read(&mut chunk) {
        log.lock()
            .expect("nobody panics while writing down")
            .push_str(&String::from_utf8_lossy(&chunk[..size]));
    }
}
