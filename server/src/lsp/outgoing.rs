//! The way to the client: one thread writes frames to standard output.
//!
//! Whoever has something to say hands it over and goes on; a client that does not read holds up nobody.

use std::fs::File;
use std::io;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;
use std::time::Duration;

use serde::Serialize;

use super::frames::write_frame;

/// A way to the client; clones share it.
#[derive(Clone)]
pub struct Outgoing {
    pieces: Sender<Piece>,
}

enum Piece {
    Body(Body),
    /// Everything before this is written once the sender inside is dropped.
    End(#[expect(dead_code, reason = "held to be dropped")] Sender<()>),
}

/// A message ready to be sent; clones share it.
#[derive(Clone, PartialEq, Eq)]
pub struct Body(Arc<[u8]>);

impl Body {
    /// A request or an answer.
    pub fn new(message: &impl Serialize) -> Self {
        // What the protocol's types hold is JSON by their making: there is no error to speak of.
        Self(Arc::from(serde_json::to_vec(message).unwrap_or_default()))
    }

    /// A notification.
    pub fn notification(method: &str, params: &impl Serialize) -> Self {
        Self::new(&Envelope { jsonrpc: "2.0", method, params })
    }
}

#[derive(Serialize)]
struct Envelope<'a, P> {
    jsonrpc: &'static str,
    method: &'a str,
    params: &'a P,
}

impl Outgoing {
    /// Starts the thread that writes to standard output.
    pub fn to_stdout() -> io::Result<Self> {
        let stdout = unbuffered_stdout()?;
        let (pieces, received) = channel();
        thread::Builder::new().name("to client".to_owned()).spawn(move || write(&received, stdout))?;
        Ok(Self { pieces })
    }

    /// A way that leads nowhere.
    #[cfg(test)]
    pub fn to_nobody() -> Self {
        Self { pieces: channel().0 }
    }

    /// Sends a message.
    pub fn send(&self, body: Body) {
        // Without a writer there is no client, and nobody to tell.
        let _ = self.pieces.send(Piece::Body(body));
    }

    /// Waits until everything sent so far is written, `limit` at most.
    pub fn finish(&self, limit: Duration) {
        let (written, waiting) = channel();
        if self.pieces.send(Piece::End(written)).is_ok() {
            // An error says that the sender was dropped, or that the client does not read: both end the wait.
            let _ = waiting.recv_timeout(limit);
        }
    }
}

fn write(pieces: &Receiver<Piece>, mut stdout: File) {
    for piece in pieces {
        if let Piece::Body(Body(body)) = piece
            && let Err(error) = write_frame(&mut stdout, &body)
        {
            eprintln!("lope lsp: the client no longer reads: {error}");
            return;
        }
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
