//! `lope lsp`: the language server.
//!
//! Bytes become messages by way of [`frames`], [`message`] and [`incoming`], and are handled in their order
//! by [`connection`]; [`outgoing`] takes what there is to say. [`backend`] is the list of what the server
//! knows to do. Its handlers only translate: from the protocol, one question to the desk, to the protocol.
//! A [`session`] holds the open files; an [`open_file`] takes edits at once, and is read on a thread of its
//! own. The [`index`] knows all files of the open folders.
//!
//! Nothing but frames goes to standard output. What the log should hold is told to the client; before there is
//! one it goes to standard error.

#![deny(clippy::print_stdout)]

mod actions;
mod backend;
mod books;
mod commands;
mod completion;
mod connection;
mod disk;
mod document;
mod edits;
mod features;
mod findings;
mod folders;
mod format;
mod frames;
mod handshake;
mod hints;
mod hover;
mod incoming;
mod index;
mod legend;
mod lens;
mod markup;
mod message;
mod mistakes;
mod names;
mod offer;
mod open_file;
mod options;
mod outgoing;
mod parent;
mod position;
mod progress;
mod pull;
mod queue;
mod readable;
mod refresh;
mod search;
mod session;
mod shape;
mod snapshot;
mod symbols;
mod tokens;
mod written;

use std::io;
use std::process::ExitCode;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::runtime::{Builder, Runtime};
use tower_lsp::LspService;

use self::backend::Backend;
use self::incoming::Incoming;
use self::outgoing::Outgoing;

/// How many texts are read at the same time.
const READERS: usize = 3;

/// How long to wait for a client to read the last answers.
const LAST_WORDS: Duration = Duration::from_secs(1);

/// Serves the client on standard input and output until it leaves. The status is 0 when it had asked for a
/// shutdown, 1 when it had not, 2 when the server could not start.
pub fn serve() -> ExitCode {
    // One thread reads and handles messages, one writes; the runtime's waits for what handlers wait for.
    let runtime =
        Builder::new_multi_thread().worker_threads(1).max_blocking_threads(READERS).enable_time().build();
    match runtime.and_then(|runtime| Ok((runtime, Outgoing::to_stdout()?))) {
        Ok((runtime, out)) => serve_on(runtime, &out),
        Err(error) => could_not_start(&error),
    }
}

fn serve_on(runtime: Runtime, out: &Outgoing) -> ExitCode {
    let (service, socket) = LspService::build(|client| Backend::new(client, out.clone()))
        .custom_method("window/workDoneProgress/cancel", Backend::cancel_progress)
        .finish();
    mistakes::tell(out.clone());
    let messages = Incoming::new(io::stdin(), out.clone());
    let status = connection::serve(&runtime, service, socket, messages, out);
    out.finish(LAST_WORDS);
    // A text may still be being read, and nobody waits for it any more.
    runtime.shutdown_background();
    status
}

fn could_not_start(error: &io::Error) -> ExitCode {
    eprintln!("lope lsp: the server could not start: {error}");
    ExitCode::from(2)
}

/// Locks `mutex`, also after a panic elsewhere: what the mutexes here guard is whole at every step.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
