//! `lope view`: a page on this machine that shows the tunes of some files as they are now.
//!
//! A [`stand`] holds the files as they were last read; the [`watch`] has it read again what changes, and tells
//! every page that its turn has come. [`answers`] turns what a page asks into what the desk, the sheet and the
//! sound know; [`guard`] lets nobody else ask. The page itself is in `page/`, plain modules for the browser.
//!
//! Absent here: music. What is drawn, heard and found is asked for.

mod answers;
mod asked;
mod attached;
mod door;
mod drawing;
mod guard;
mod hear;
mod mend;
mod page;
mod shown;
mod stand;
mod watch;

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

use tokio::net::TcpListener;
use tokio::runtime::{Builder, Runtime};

use self::door::Door;
use self::guard::{Names, Token};
use self::stand::Stand;
use crate::files::reason;

/// What is to be shown, and how.
pub struct Wanted {
    /// A tune file or a folder.
    pub from: PathBuf,
    /// The port to listen at; 0 for one that is free.
    pub port: u16,
    /// Whether the page is opened in the browser.
    pub opens: bool,
    /// Whether it listens to standard input, whose end is the end of it.
    pub attached: bool,
}

/// How many threads draw, render and read at the same time.
const WORKERS: usize = 4;

/// Serves the page until the player ends it. Where that cannot be begun, says why.
pub fn serve(wanted: &Wanted) -> Result<(), String> {
    let stand = Stand::open(&wanted.from).map_err(|problem| problem.to_string())?;
    let stand = Arc::new(stand);
    // The system is told to forget its watches when this goes.
    let _watch = watch::begin(&stand);
    let (token, names) = (Token::new()?, Names::default());
    let runtime = runtime().map_err(|error| format!("cannot start: {}", reason(&error)))?;
    let served = runtime.block_on(async {
        let listener = listen(wanted.port).await?;
        let host = listener.local_addr().map_err(|error| format!("cannot listen: {}", reason(&error)))?;
        // Whoever knows the address may already end the program.
        let stopped = stopped();
        let door = Arc::new(Mutex::new(show(&format!("http://{host}/{token}/"), wanted.opens)));
        let serving = axum::serve(listener, answers::router(&token, &names, &stand, &door)).into_future();
        tokio::select! {
            ended = serving => ended.map_err(|error| format!("cannot go on: {}", reason(&error))),
            () = stopped => Ok(()),
            () = attached::ends(wanted.attached, &token, &names) => Ok(()),
        }
    });
    // Pages that listen for changes would keep it waiting for ever.
    runtime.shutdown_background();
    served
}

fn runtime() -> io::Result<Runtime> {
    Builder::new_multi_thread().worker_threads(2).max_blocking_threads(WORKERS).enable_all().build()
}

async fn listen(port: u16) -> Result<TcpListener, String> {
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    TcpListener::bind(address).await.map_err(|error| match error.kind() {
        io::ErrorKind::AddrInUse => {
            format!("port {port} is taken: name another with --port, or none for one that is free")
        }
        _ => format!("cannot listen at port {port}: {}", reason(&error)),
    })
}

/// Comes back when the program is told to end, by Ctrl-C or by a terminal that is closed, from the call on.
#[cfg(unix)]
fn stopped() -> impl Future<Output = ()> {
    use futures_util::StreamExt;
    use futures_util::stream::FuturesUnordered;
    use tokio::signal::unix::{SignalKind, signal};

    let kinds = [SignalKind::interrupt(), SignalKind::hangup(), SignalKind::terminate()];
    let signals: Vec<_> = kinds.into_iter().filter_map(|kind| signal(kind).ok()).collect();
    async move {
        let mut told: FuturesUnordered<_> =
            signals.into_iter().map(|mut signal| async move { signal.recv().await }).collect();
        // A signal that is not listened to ends the program by itself.
        if told.next().await.is_none() {
            std::future::pending().await
        }
    }
}

/// Comes back when the program is told to end by Ctrl-C.
#[cfg(not(unix))]
async fn stopped() {
    let _ = tokio::signal::ctrl_c().await;
}

/// Prints the address, for players and programs alike, and opens it by a door that has to be kept.
fn show(address: &str, opens: bool) -> Option<Door> {
    use std::io::Write;
    let mut out = io::stdout();
    // Whoever started this may have no use for the address, or has gone; the page is there all the same.
    let _ = writeln!(out, "{address}").and_then(|()| out.flush());
    if !opens {
        return None;
    }
    let door = Door::to(address).and_then(|door| door.open().map(|()| door));
    if door.is_err() {
        let _ = writeln!(io::stderr(), "lope: no browser can be opened; open the address above in one");
    }
    door.ok()
}
