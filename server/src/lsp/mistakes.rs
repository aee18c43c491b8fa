//! Mistakes of our own: panics. Whatever panics is caught where it costs least, a question or a file; here it
//! is told, in the client's log and not by the runtime.

use std::backtrace::{Backtrace, BacktraceStatus};
use std::panic::{self, PanicHookInfo};

use tower_lsp::lsp_types::MessageType;

use super::outgoing::Outgoing;

/// Has every panic told to the client from here on.
pub fn tell(out: Outgoing) {
    panic::set_hook(Box::new(move |panic| out.log(MessageType::ERROR, &message(panic))));
}

fn message(panic: &PanicHookInfo<'_>) -> String {
    let said = panic.payload();
    let said = said.downcast_ref::<&str>().copied().or_else(|| said.downcast_ref().map(String::as_str));
    let said = said.unwrap_or("it is not known which");
    let place = panic.location().map(|at| format!(" ({}:{})", at.file(), at.line())).unwrap_or_default();
    let message = format!("lope made a mistake of its own and goes on; please report it: {said}{place}");
    let trace = Backtrace::capture();
    match trace.status() {
        BacktraceStatus::Captured => format!("{message}\n{trace}"),
        _ => message,
    }
}

/// Makes a mistake while `text` is read, if it has in it what `LOPE_MISTAKE` in the environment says: so that
/// the tests see what a mistake in a rule costs. No release of the program can do this.
#[cfg(debug_assertions)]
pub fn make(text: &ropey::Rope) {
    if let Ok(word) = std::env::var("LOPE_MISTAKE") {
        assert!(!text.to_string().contains(&word), "a mistake on purpose");
    }
}
