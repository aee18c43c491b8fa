//! What the client's user has set for this server, below `lope` in the client's settings.
//!
//! They come with `initialize`, and are asked for after it and whenever they have changed; a client that
//! cannot be asked sends them along when it says so.

use std::mem;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

use lope_desk::HintKinds;
use serde_json::Value;
use tower_lsp::Client;
use tower_lsp::lsp_types::{ConfigurationItem, Registration};

use super::lock;
use super::outgoing::Outgoing;
use super::refresh::refresh;
use super::session::Session;

/// The section of the client's settings that is ours.
const SECTION: &str = "lope";

/// What is set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Which hints are shown in the text.
    pub hints: HintKinds,
}

impl Options {
    /// Reads what stands below `lope`, or has `lope` above it; what is not there is as in `base`. The problems
    /// are settings that say nothing that is understood.
    fn read(settings: &Value, base: Self) -> (Self, Vec<String>) {
        let settings = settings.get(SECTION).unwrap_or(settings);
        let (mut options, mut problems) = (base, Vec::new());
        let hints = &mut options.hints;
        let switches = [
            ("counts", &mut hints.counts),
            ("time", &mut hints.time),
            ("pitch", &mut hints.pitch),
            ("phrases", &mut hints.phrases),
        ];
        for (name, switch) in switches {
            // Some clients write a path as one name.
            let path = format!("hints.{name}");
            let nested = settings.get("hints").and_then(|hints| hints.get(name));
            match nested.or_else(|| settings.get(&path)) {
                Some(Value::Bool(on)) => *switch = *on,
                None | Some(Value::Null) => {}
                Some(other) => problems.push(format!("{SECTION}.{path} is true or false, not {other}")),
            }
        }
        (options, problems)
    }
}

/// What is set, as far as the client has said.
#[derive(Default)]
pub struct Known {
    /// What came with `initialize`; it stands for what later settings leave out.
    at_start: OnceLock<Options>,
    now: Mutex<Options>,
    /// How often settings were asked for or sent, so that a late answer is known to be one.
    asked: AtomicU64,
}

impl Known {
    /// What is set now.
    pub fn now(&self) -> Options {
        *lock(&self.now)
    }

    /// Heeds what came with `initialize`.
    pub fn begin(&self, settings: &Value, out: &Outgoing) {
        let (options, problems) = Options::read(settings, Options::default());
        report(&problems, out);
        let _ = self.at_start.set(options);
        *lock(&self.now) = options;
    }

    /// Heeds `settings` from here on; says whether that changes anything.
    fn heed(&self, settings: &Value, out: &Outgoing) -> bool {
        let base = self.at_start.get().copied().unwrap_or_default();
        let (options, problems) = Options::read(settings, base);
        report(&problems, out);
        mem::replace(&mut *lock(&self.now), options) != options
    }
}

fn report(problems: &[String], out: &Outgoing) {
    for problem in problems {
        out.warn(&format!("a setting is left as it is: {problem}"));
    }
}

/// Asks the client for its settings, in a task of its own: it may never answer.
pub fn ask(client: &Client, session: &Arc<Session>) {
    let (client, session) = (client.clone(), Arc::clone(session));
    let number = session.options.asked.fetch_add(1, Ordering::Relaxed) + 1;
    tokio::spawn(async move {
        let item = ConfigurationItem { scope_uri: None, section: Some(SECTION.to_owned()) };
        match client.configuration(vec![item]).await {
            Ok(settings) if session.options.asked.load(Ordering::Relaxed) == number => {
                take(&client, &session, settings.first().unwrap_or(&Value::Null));
            }
            Ok(_) => {}
            Err(error) => session.out.warn(&format!("the client does not say its settings: {error}")),
        }
    });
}

/// Heeds settings that the client sent along.
pub fn sent(client: &Client, session: &Session, settings: &Value) {
    session.options.asked.fetch_add(1, Ordering::Relaxed);
    take(client, session, settings);
}

fn take(client: &Client, session: &Session, settings: &Value) {
    if session.options.heed(settings, &session.out) {
        refresh(client, session.features());
    }
}

/// Asks to be told when the settings change.
pub fn registration() -> Registration {
    let options = serde_json::json!({ "section": SECTION });
    let method = "workspace/didChangeConfiguration".to_owned();
    Registration { id: "settings".to_owned(), method, register_options: Some(options) }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn settings_are_read_whatever_stands_above_them() {
        let pitch = Options { hints: HintKinds { pitch: true, counts: false, ..HintKinds::default() } };
        for settings in [
            json!({ "hints": { "pitch": true, "counts": false } }),
            json!({ "lope": { "hints": { "pitch": true, "counts": false, "time": null } } }),
            json!({ "hints.pitch": true, "hints.counts": false, "other": 7 }),
        ] {
            assert_eq!(Options::read(&settings, Options::default()), (pitch, Vec::new()), "{settings}");
        }
        for settings in [json!(null), json!({}), json!([1]), json!("no"), json!({ "hints": 7 })] {
            assert_eq!(Options::read(&settings, pitch), (pitch, Vec::new()), "{settings}");
        }
    }

    #[test]
    fn what_is_no_switch_is_named_and_left_alone() {
        let (options, problems) =
            Options::read(&json!({ "hints": { "time": "off", "phrases": false } }), Options::default());
        assert_eq!(options.hints, HintKinds { phrases: false, ..HintKinds::default() });
        assert_eq!(problems, ["lope.hints.time is true or false, not \"off\""]);
    }
}
