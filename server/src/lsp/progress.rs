//! How far something has come, as the client shows it; and the client's word that it need not go on.

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};

use tower_lsp::lsp_types::notification::Notification;
use tower_lsp::lsp_types::request::WorkDoneProgressCreate;
use tower_lsp::lsp_types::{
    ProgressParams, ProgressParamsValue, ProgressToken, WorkDoneProgress, WorkDoneProgressBegin,
    WorkDoneProgressCreateParams, WorkDoneProgressEnd, WorkDoneProgressReport, notification,
};

use super::lock;
use super::outgoing::Outgoing;
use super::queue::{Body, Topic};
use super::session::Session;

/// What goes on and can be given up, by the name the client has for it.
#[derive(Default)]
pub struct Cancels {
    going_on: Mutex<HashMap<ProgressToken, Arc<AtomicBool>>>,
    /// How many names we have given.
    named: AtomicU64,
}

impl Cancels {
    /// The client says that what it calls `token` need not go on.
    pub fn cancel(&self, token: &ProgressToken) {
        if let Some(flag) = lock(&self.going_on).get(token) {
            flag.store(true, Ordering::Relaxed);
        }
    }

    fn begin(&self, token: ProgressToken) -> Arc<AtomicBool> {
        Arc::clone(lock(&self.going_on).entry(token).or_default())
    }

    fn end(&self, token: &ProgressToken) {
        lock(&self.going_on).remove(token);
    }

    fn name(&self) -> ProgressToken {
        ProgressToken::String(format!("lope-{}", self.named.fetch_add(1, Ordering::Relaxed)))
    }
}

/// Something that takes a while; it is over when this is dropped.
pub struct Progress<'s> {
    session: &'s Session,
    token: ProgressToken,
    cancelled: Arc<AtomicBool>,
    /// The client knows the name, and what is told under it is shown.
    known: Arc<Mutex<Known>>,
}

/// What the client knows of something that goes on.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Known {
    /// Not even its name.
    Nothing,
    /// That it goes on.
    Begun,
    /// It is over, and no more is said.
    Over,
}

impl<'s> Progress<'s> {
    /// Something of our own begins. The client is asked whether it would show it, and the work does not wait for
    /// the answer.
    pub fn begin(session: &'s Session, title: &'static str) -> Self {
        let progress = Self::new(session, session.cancels.name());
        if session.features().shows_progress {
            let params = WorkDoneProgressCreateParams { token: progress.token.clone() };
            let (out, token, known) =
                (session.out.clone(), progress.token.clone(), Arc::clone(&progress.known));
            session.ask_client(async move |client| {
                if client.send_request::<WorkDoneProgressCreate>(params).await.is_ok() {
                    begin(&out, &token, title, &known);
                }
            });
        }
        progress
    }

    /// Something the client has asked for begins; it is told of it by the name it gave, if it gave one.
    pub fn asked(session: &'s Session, token: Option<ProgressToken>, title: &str) -> Option<Self> {
        let progress = Self::new(session, token?);
        begin(&session.out, &progress.token, title, &progress.known);
        Some(progress)
    }

    fn new(session: &'s Session, token: ProgressToken) -> Self {
        let cancelled = session.cancels.begin(token.clone());
        Self { session, token, cancelled, known: Arc::new(Mutex::new(Known::Nothing)) }
    }

    /// Tells that `done` of `total` files are read.
    pub fn report(&self, done: usize, total: usize) {
        if *lock(&self.known) == Known::Begun {
            let percentage = u32::try_from(done * 100 / total.max(1)).ok();
            let message = Some(format!("{done} of {total} files"));
            let report = WorkDoneProgressReport { cancellable: Some(true), message, percentage };
            let body = notification(&self.token, WorkDoneProgress::Report(report));
            self.session.out.send_newest(Topic::Progress(self.token.clone()), body);
        }
    }

    /// Whether the client has said that this need not go on.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }
}

impl Drop for Progress<'_> {
    fn drop(&mut self) {
        self.session.cancels.end(&self.token);
        let mut known = lock(&self.known);
        if *known == Known::Begun {
            tell(&self.session.out, &self.token, WorkDoneProgress::End(WorkDoneProgressEnd::default()));
        }
        *known = Known::Over;
    }
}

/// Tells that it begins, unless it is over already.
fn begin(out: &Outgoing, token: &ProgressToken, title: &str, known: &Mutex<Known>) {
    let mut known = lock(known);
    if *known == Known::Nothing {
        let title = title.to_owned();
        let begin = WorkDoneProgressBegin {
            title,
            cancellable: Some(true),
            percentage: Some(0),
            ..Default::default()
        };
        tell(out, token, WorkDoneProgress::Begin(begin));
        *known = Known::Begun;
    }
}

fn tell(out: &Outgoing, token: &ProgressToken, said: WorkDoneProgress) {
    out.send(notification(token, said));
}

fn notification(token: &ProgressToken, said: WorkDoneProgress) -> Body {
    let params = ProgressParams { token: token.clone(), value: ProgressParamsValue::WorkDone(said) };
    Body::notification(notification::Progress::METHOD, &params)
}
