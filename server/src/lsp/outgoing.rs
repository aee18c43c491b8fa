//! The way to the client: one thread writes frames to standard output.
//!
//! Whoever has something to say hands it over and goes on. A client that does not read holds up no edit; only
//! when very much waits for it is no more taken on.

use std::fs::File;
use std::io;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use tower_lsp::lsp_types::notification::{LogMessage, Notification};
use tower_lsp::lsp_types::{LogMessageParams, MessageType};

use super::frames::write_frame;
use super::lock;
use super::queue::{Body, Queue, Topic, Weight};

/// A way to the client; clones share it.
#[derive(Clone, Default)]
pub struct Outgoing(Arc<Shared>);

#[derive(Default)]
struct Shared {
    way: Mutex<Way>,
    /// Told when something waits, is written, or nobody writes any more.
    changed: Condvar,
    /// The client has greeted us, and may be spoken to.
    greeted: AtomicBool,
}

#[derive(Default)]
struct Way {
    queue: Queue,
    /// A message is being written.
    writing: bool,
    /// Nobody reads.
    closed: bool,
}

impl Outgoing {
    /// Starts the thread that writes to standard output.
    pub fn to_stdout() -> io::Result<Self> {
        let stdout = unbuffered_stdout()?;
        let out = Self::default();
        let from = out.clone();
        thread::Builder::new().name("to client".to_owned()).spawn(move || from.write(stdout))?;
        Ok(out)
    }

    /// A way that leads nowhere.
    #[cfg(test)]
    pub fn to_nobody() -> Self {
        let out = Self::default();
        lock(&out.0.way).closed = true;
        out
    }

    /// Sends a message.
    pub fn send(&self, body: Body) {
        self.push(body, Weight::Needed);
    }

    /// Sends a message that takes the place of what waits of the same topic.
    pub fn send_newest(&self, topic: Topic, body: Body) {
        self.push(body, Weight::Newest(topic));
    }

    /// The client begins to speak, and from here on may be spoken to.
    pub fn greet(&self) {
        self.0.greeted.store(true, Ordering::Relaxed);
    }

    /// Writes a remark into the client's log: a warning, of what is done about something that is not right.
    pub fn warn(&self, message: &str) {
        self.log(MessageType::WARNING, message);
    }

    /// Writes a remark into the client's log; to standard error while there is no client yet.
    pub fn log(&self, typ: MessageType, message: &str) {
        if !self.0.greeted.load(Ordering::Relaxed) {
            return eprintln!("lope lsp: {message}");
        }
        let params = LogMessageParams { typ, message: message.to_owned() };
        self.push(Body::notification(LogMessage::METHOD, &params), Weight::Remark);
    }

    /// Waits for as long as the client leaves very much unread: to be asked before more is taken on.
    pub fn wait_for_room(&self) {
        drop(self.wait_while(|way| way.queue.is_full() && !way.closed));
    }

    /// Waits until everything sent so far is written, `limit` at most.
    pub fn finish(&self, limit: Duration) {
        let goes_on = |way: &mut Way| !way.closed && (way.writing || !way.queue.is_empty());
        drop(self.0.changed.wait_timeout_while(lock(&self.0.way), limit, goes_on));
    }

    fn push(&self, body: Body, weight: Weight) {
        let mut way = lock(&self.0.way);
        // Without a writer there is no client, and nobody to tell.
        if !way.closed {
            way.queue.push(body, weight);
            self.0.changed.notify_all();
        }
    }

    fn wait_while(&self, goes_on: impl Fn(&Way) -> bool) -> MutexGuard<'_, Way> {
        let waiting = self.0.changed.wait_while(lock(&self.0.way), |way| goes_on(way));
        waiting.unwrap_or_else(PoisonError::into_inner)
    }

    /// Writes for as long as anybody reads.
    fn write(&self, mut stdout: File) {
        while let Some(body) = self.next() {
            if let Err(error) = write_frame(&mut stdout, body.bytes()) {
                eprintln!("lope lsp: the client no longer reads: {error}");
                *lock(&self.0.way) = Way { closed: true, ..Way::default() };
                self.0.changed.notify_all();
                return;
            }
        }
    }

    /// Waits for what is to be written next.
    fn next(&self) -> Option<Body> {
        let left_out = {
            let mut way = lock(&self.0.way);
            way.writing = false;
            self.0.changed.notify_all();
            way.queue.take_left_out()
        };
        if let Some(count) = left_out {
            self.warn(&format!("{count} more remarks were left out, since those before them were not read"));
        }
        let mut way = self.wait_while(|way| way.queue.is_empty());
        way.writing = true;
        way.queue.pop()
    }
}

/// Standard output without the line buffer of `io::stdout`, which would write a header by itself.
fn unbuffered_stdout() -> io::Result<File> {
    #[cfg(unix)]
    let stdout = std::os::fd::AsFd::as_fd(&io::stdout()).try_clone_to_owned();
    #[cfg(windows)]
    let stdout = std::os::windows::io::AsHandle::as_handle(&io::stdout()).try_clone_to_owned();
    stdout.map(File::from)
}
