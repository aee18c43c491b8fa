//! What the client's user has set for this server, below `lope` in the client's settings.
//!
//! They come with `initialize`, and are asked for after it and whenever they have changed; a client that
//! cannot be asked sends them along when it says so.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use lope_desk::HintKinds;
use serde_json::Value;
use tower_lsp::Client;
use tower_lsp::lsp_types::{ConfigurationItem, Registration};

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
    /// Reads what stands below `lope`, or has `lope` above it; defaults for what is not there. The problems are
    /// settings that say nothing that is understood.
    pub fn read(settings: &Value) -> (Self, Vec<String>) {
        let settings = settings.get(SECTION).unwrap_or(settings);
        let (mut options, mut problems) = (Self::default(), Vec::new());
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

/// Counts the times that settings were asked for or sent, so that a late answer is known to be one.
#[derive(Default)]
pub struct Asked(AtomicU64);

impl Asked {
    fn once_more(&self) -> u64 {
        self.0.fetch_add(1, Ordering::Relaxed) + 1
    }

    fn is_last(&self, number: u64) -> bool {
        self.0.load(Ordering::Relaxed) == number
    }
}

/// Asks the client for its settings, in a task of its own: it may never answer.
pub fn ask(client: &Client, session: &Arc<Session>) {
    let (client, session) = (client.clone(), Arc::clone(session));
    let number = session.options_asked.once_more();
    tokio::spawn(async move {
        let item = ConfigurationItem { scope_uri: None, section: Some(SECTION.to_owned()) };
        match client.configuration(vec![item]).await {
            Ok(settings) if session.options_asked.is_last(number) => {
                take(&client, &session, settings.first().unwrap_or(&Value::Null));
            }
            Ok(_) => {}
            Err(error) => eprintln!("lope lsp: the client does not say its settings: {error}"),
        }
    });
}

/// Heeds settings that the client sent along.
pub fn sent(client: &Client, session: &Arc<Session>, settings: &Value) {
    session.options_asked.once_more();
    take(client, session, settings);
}

fn take(client: &Client, session: &Session, settings: &Value) {
    if heed(session, settings) {
        refresh(client, session.features());
    }
}

/// Heeds `settings` from here on; says whether that changes anything.
pub fn heed(session: &Session, settings: &Value) -> bool {
    let (options, problems) = Options::read(settings);
    for problem in problems {
        eprintln!("lope lsp: a setting is left as it is by default: {problem}");
    }
    session.set_options(options)
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
            assert_eq!(Options::read(&settings), (pitch, Vec::new()), "{settings}");
        }
        for settings in [json!(null), json!({}), json!([1]), json!("no"), json!({ "hints": 7 })] {
            assert_eq!(Options::read(&settings), (Options::default(), Vec::new()), "{settings}");
        }
    }

    #[test]
    fn what_is_no_switch_is_named_and_left_alone() {
        let (options, problems) = Options::read(&json!({ "hints": { "time": "off", "phrases": false } }));
        assert_eq!(options.hints, HintKinds { phrases: false, ..HintKinds::default() });
        assert_eq!(problems, ["lope.hints.time is true or false, not \"off\""]);
    }
}
