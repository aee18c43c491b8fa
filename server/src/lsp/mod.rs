//! `lope lsp`: the language server.
//!
//! Bytes come in by [`incoming`], become messages by [`frames`] and [`message`], and are handled in their
//! order by [`connection`]; [`outgoing`] takes what there is to say. [`backend`] is the list of what the
//! server knows to do. Its handlers only translate: from the protocol, one question to the desk, to the
//! protocol. Texts are kept by [`document`], and read off the async thread by [`open_file`].
//!
//! Nothing but frames goes to standard output; what the log should hold goes to standard error.

#![deny(clippy::print_stdout)]

mod actions;
mod backend;
mod books;
mod connection;
mod document;
mod features;
mod findings;
mod format;
mod frames;
mod hover;
mod incoming;
mod message;
mod open_file;
mod outgoing;
mod parent;
mod position;
mod session;
mod snapshot;
mod symbols;

use std::io;
use std::process::ExitCode;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::runtime::{Builder, Runtime};
use tokio::sync::mpsc::unbounded_channel;
use tower_lsp::LspService;

use self::backend::Backend;
use self::outgoing::Outgoing;

/// How many texts are read at the same time.
const READERS: usize = 3;

/// How long to wait for a client to read the last answers.
const LAST_WORDS: Duration = Duration::from_secs(1);

/// Serves the client on standard input and output until it leaves. The status is 0 when it had asked for a
/// shutdown, 1 when it had not, 2 when the server could not start.
pub fn serve() -> ExitCode {
    match Builder::new_current_thread().enable_time().max_blocking_threads(READERS).build() {
        Ok(runtime) => serve_on(runtime),
        Err(error) => could_not_start(&error),
    }
}

fn serve_on(runtime: Runtime) -> ExitCode {
    let (events, coming) = unbounded_channel();
    let out = match Outgoing::to_stdout() {
        Ok(out) => out,
        Err(error) => return could_not_start(&error),
    };
    if let Err(error) = incoming::read_from(io::stdin(), events.clone()) {
        return could_not_start(&error);
    }
    let (service, socket) = LspService::new(|client| Backend::new(client, out.clone(), events));
    let status = runtime.block_on(connection::serve(service, socket, coming, out.clone()));
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
