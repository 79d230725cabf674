//! The doors of the drop point: what each request leads to, what is shown, and what became of a paper.

use super::{
    answers::{AWAY, NOTHING, WELCOME, in_background, page, to},
    bounds::Allowance,
    entrance::{enter, guarded},
    handed::take,
    keys::Keys,
    shelf::Shown,
};
use crate::clock::Clock;
use crate::facts::Digest;
use axum::Router;
use axum::extract::{Path, Request, State};
use axum::http::header::CONTENT_TYPE;
use axum::http::{Method, StatusCode};
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use serde_json::json;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

/// What became of a paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It is filed.
    Filed,
    /// It is filed, and said nothing new.
    Copy,
    /// It was returned, with the words of its slip.
    Returned(String),
}

/// The word of the service on papers.
pub trait Word: Send + Sync {
    /// The number of the last arrival; what is handed in from now on has a later one.
    fn so_far(&self) -> i64;
    /// What became of the paper with these bytes that arrived after that number; `None` where it was not taken in yet.
    fn fate(&self, hash: &Digest, after: i64) -> Option<Fate>;
}

/// What the drop point asks of the service.
pub struct Hooks {
    /// The watch folder.
    pub watch_folder: PathBuf,
    /// Keys of devices.
    pub keys: Keys,
    /// Whether devices come over an encrypted line, so that their key goes over no other.
    pub encrypted: bool,
    /// The digest of the only script that may run, as a content security policy writes it.
    pub script: String,
    /// What devices type to come here.
    pub address: String,
    /// What became of papers.
    pub word: Box<dyn Word>,
    /// Called when something lies in the drop folder.
    pub wake: Arc<dyn Fn() + Send + Sync>,
    /// The clock.
    pub clock: Arc<dyn Clock>,
}

/// What every door knows.
pub(super) struct Point {
    pub(super) hooks: Hooks,
    pub(super) allowance: Allowance,
    /// Papers are written one after another.
    pub(super) writing: Mutex<()>,
}

/// What the doors are handed.
pub(super) type At = State<Arc<Point>>;

/// Every door.
pub(super) fn doors(hooks: Hooks) -> Router {
    let point = Arc::new(Point { hooks, allowance: Allowance::default(), writing: Mutex::new(()) });
    Router::new()
        .route("/", get(|| async { to("/board.html") }))
        .route("/enter/{key}", get(enter))
        .route("/welcome", get(|| async { page(StatusCode::OK, "Let in", WELCOME) }))
        .route("/drop", post(take))
        .route("/became/{after}/{hash}", get(became))
        .fallback(show)
        .layer(from_fn_with_state(Arc::clone(&point), guarded))
        .with_state(point)
}

/// A page, paper or picture of the board.
async fn show(State(point): At, request: Request) -> Response {
    if request.method() != Method::GET && request.method() != Method::HEAD {
        return page(StatusCode::METHOD_NOT_ALLOWED, "Not so", NOTHING);
    }
    let path = request.uri().path().to_owned();
    let found = in_background(move || {
        let shown = Shown::of(&path).filter(|_| request.uri().query().is_none());
        shown.map(|shown| (shown.media, shown.read(&point.hooks.watch_folder)))
    });
    match found.await {
        Some(Some((media, Ok(Some(bytes))))) => ([(CONTENT_TYPE, media)], bytes).into_response(),
        Some(Some((_, Err(error)))) => {
            tracing::warn!(%error, "showing the board at the drop point");
            page(StatusCode::SERVICE_UNAVAILABLE, "Not now", AWAY)
        }
        Some(Some((_, Ok(None))) | None) => page(StatusCode::NOT_FOUND, "Nothing here", NOTHING),
        None => page(StatusCode::INTERNAL_SERVER_ERROR, "Not now", AWAY),
    }
}

/// What became of a paper: `{"became": "filed"}`, `copy`, `returned` with its slip, or `waits`.
async fn became(State(point): At, Path((after, hash)): Path<(String, String)>) -> Response {
    let (Ok(after), Some(hash)) = (after.parse(), Digest::from_hex(&hash)) else {
        return page(StatusCode::NOT_FOUND, "Nothing here", NOTHING);
    };
    let fate = in_background(move || point.hooks.word.fate(&hash, after)).await.flatten();
    let text = match fate {
        None => json!({"became": "waits"}),
        Some(Fate::Filed) => json!({"became": "filed"}),
        Some(Fate::Copy) => json!({"became": "copy"}),
        Some(Fate::Returned(slip)) => json!({"became": "returned", "slip": slip}),
    };
    ([(CONTENT_TYPE, "application/json")], text.to_string()).into_response()
}
