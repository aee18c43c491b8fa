//! What a page may ask, and who answers.

use std::convert::Infallible;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::extract::{Query, State};
use axum::http::{StatusCode, Uri, header};
use axum::middleware;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use futures_util::stream::{self, Stream};
use serde::Deserialize;
use tokio::task::spawn_blocking;

use super::asked::{Refusal, Which};
use super::door::Door;
use super::guard::{self, Names, Token};
use super::hear::{Due, Play};
use super::mend::Mend;
use super::page;
use super::shown::{Contents, Shown};
use super::stand::Stand;
use crate::report;

type Shared = State<Arc<Stand>>;

/// The door that is open until somebody came in by it.
pub type Doorway = Arc<Mutex<Option<Door>>>;

/// Everything there is below the token; nothing else is. The page goes by the `names` as well as by this machine's,
/// and the `door` is closed behind the first who asks for it.
pub fn router(token: &Token, names: &Names, stand: &Arc<Stand>, door: &Doorway) -> Router {
    let below = format!("/{token}/");
    let at = |name: &str| format!("{below}{name}");
    let door = Arc::clone(door);
    let index = async move || {
        drop(door.lock().unwrap_or_else(PoisonError::into_inner).take());
        page::index()
    };
    Router::new()
        .route(&below, get(index))
        .route(&at("turns"), get(turns))
        .route(&at("contents"), get(contents))
        .route(&at("tune"), get(tune))
        .route(&at("rule"), get(rule))
        .route(&at("due"), get(due))
        .route(&at("sound"), get(sound))
        .route(&at("mend"), post(mend))
        .route(&at("{file}"), get(page::file))
        .with_state(Arc::clone(stand))
        .fallback(move |uri: Uri| async move {
            match uri.path().starts_with(&below) {
                true => (StatusCode::NOT_FOUND, "there is nothing here\n"),
                false => {
                    (StatusCode::FORBIDDEN, "the address is not whole: use the one that lope view printed\n")
                }
            }
        })
        .layer(middleware::from_fn_with_state(names.clone(), guard::check))
}

/// Tells the page, now and whenever something is another, which turn it is.
async fn turns(State(stand): Shared) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let told = stream::unfold((stand.turns(), true), async |(mut turns, is_first)| {
        if !is_first {
            turns.changed().await.ok()?;
        }
        let turn = *turns.borrow_and_update();
        Some((Ok(Event::default().data(turn.to_string())), (turns, false)))
    });
    // Words in between let a page that is gone be noticed.
    Sse::new(told).keep_alive(KeepAlive::new().interval(Duration::from_secs(20)))
}

async fn contents(State(stand): Shared) -> Result<Json<Contents>, Refusal> {
    aside(move || Ok(Contents::of(&stand))).await.map(Json)
}

/// A tune, and how wide the page is for it, in points.
#[derive(Deserialize)]
struct Wide {
    file: String,
    number: usize,
    width: u16,
}

async fn tune(State(stand): Shared, Query(asked): Query<Wide>) -> Result<Json<Shown>, Refusal> {
    let Wide { file, number, width } = asked;
    aside(move || Shown::of(&stand, &Which { file, number }, width)).await.map(Json)
}

/// A rule by its name.
#[derive(Deserialize)]
struct Named {
    name: String,
}

async fn rule(Query(Named { name }): Query<Named>) -> Response {
    match lope_desk::rule(&name) {
        Some(id) => report::page(id.rule()).into_response(),
        None => (StatusCode::NOT_FOUND, "there is no such rule\n").into_response(),
    }
}

async fn due(State(stand): Shared, Query(asked): Query<Play>) -> Result<Json<Due>, Refusal> {
    aside(move || asked.due(&stand)).await.map(Json)
}

async fn sound(State(stand): Shared, Query(asked): Query<Play>) -> Result<impl IntoResponse, Refusal> {
    let wav = aside(move || asked.sound(&stand)).await?;
    Ok(([(header::CONTENT_TYPE, "audio/wav")], wav))
}

async fn mend(State(stand): Shared, Json(asked): Json<Mend>) -> Result<StatusCode, Refusal> {
    aside(move || asked.make(&stand)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Does `work` on a thread where it keeps nobody waiting.
async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let failed =
        || Refusal::Failed("something in lope went wrong with this tune; please report it".to_owned());
    spawn_blocking(work).await.unwrap_or_else(|_| Err(failed()))
}
