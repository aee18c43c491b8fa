//! Whether the client's process still lives.
//!
//! A client that dies takes its end of standard input with it, unless another process holds that open.
//! So the process it named is looked for as well.

use std::process::exit;
use std::time::Duration;

use tokio::time::sleep;

use super::LAST_WORDS;
use super::outgoing::Outgoing;

/// How often to look.
const PAUSE: Duration = Duration::from_secs(2);

/// Ends the program once the process numbered `id` is gone. Nothing less would: the thread that reads waits
/// for input that may never come.
pub async fn follow(id: u32, out: Outgoing) {
    while lives(id) {
        sleep(PAUSE).await;
    }
    out.finish(LAST_WORDS);
    exit(1);
}

#[cfg(unix)]
fn lives(id: u32) -> bool {
    use rustix::io::Errno;
    use rustix::process::{Pid, test_kill_process};

    let Some(pid) = i32::try_from(id).ok().and_then(Pid::from_raw) else { return false };
    test_kill_process(pid) != Err(Errno::SRCH) && !is_waited_for(id)
}

/// Where processes cannot be asked for without unsafe code, the end of input must do.
#[cfg(not(unix))]
fn lives(_: u32) -> bool {
    true
}

/// Whether the process has ended and its own parent has not asked after it, which in a container may never
/// happen. Only Linux says so in a file.
#[cfg(unix)]
fn is_waited_for(id: u32) -> bool {
    let stat = std::fs::read_to_string(format!("/proc/{id}/stat")).unwrap_or_default();
    // The name before the state is in parentheses and may hold some itself (proc(5)).
    stat.rsplit_once(") ").is_some_and(|(_, state)| state.starts_with(['Z', 'X']))
}

#[cfg(all(test, unix))]
mod tests {
    use std::process::{Command, id};

    use super::*;

    #[test]
    fn knows_the_living_from_the_dead() {
        assert!(lives(id()));
        let mut child = Command::new("sleep").arg("100").spawn().unwrap();
        assert!(lives(child.id()));
        child.kill().unwrap();
        while lives(child.id()) {
            std::thread::yield_now();
        }
        child.wait().unwrap();
        assert!(!lives(child.id()));
        assert!(!lives(0));
        assert!(!lives(u32::MAX));
    }
}
