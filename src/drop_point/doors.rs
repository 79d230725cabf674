//! The doors of the drop point: who comes in, what is shown, what is taken.

use super::bounds::Allowance;
use super::keys::{Device, Keys};
use super::shelf::Shown;
use super::taking::{NotTaken, name_in_drop, put};
use crate::clock::Clock;
use crate::facts::Digest;
use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Path, Request, State};
use axum::http::header::{
    ALLOW, CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, COOKIE, HOST, LOCATION, ORIGIN,
    REFERRER_POLICY, RETRY_AFTER, SET_COOKIE, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use serde_json::json;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// The cookie that holds the key of a device.
const KEY: &str = "benchdrop-key";
/// A year and a month, in seconds: about the longest that browsers keep a cookie.
const KEPT: u32 = 34_000_000;
/// What only our own page sends: another site's page cannot without asking, and is not answered.
const OURS: &str = "x-drop-name";
/// The largest paper that is taken, in bytes; the same as of any other.
const MOST: usize = 1024 * 1024;
/// How long the body of a paper may take.
const BODY_WITHIN: Duration = Duration::from_secs(60);

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

/// What became of the paper with these bytes; `None` where it was not taken in yet.
pub type FateOf = dyn Fn(&Digest) -> Option<Fate> + Send + Sync;

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
    /// What became of a paper.
    pub fate: Box<FateOf>,
    /// Called when something lies in the drop folder.
    pub wake: Arc<dyn Fn() + Send + Sync>,
    /// The clock.
    pub clock: Arc<dyn Clock>,
}

/// What every door knows.
pub(super) struct Point {
    hooks: Hooks,
    allowance: Allowance,
    /// Papers are written one after another.
    writing: Mutex<()>,
}

type At = State<Arc<Point>>;

/// Every door.
pub(super) fn doors(hooks: Hooks) -> Router {
    let point = Arc::new(Point { hooks, allowance: Allowance::default(), writing: Mutex::new(()) });
    Router::new()
        .route("/", get(|| async { to("/board.html") }))
        .route("/enter/{key}", get(enter))
        .route("/welcome", get(|| async { page(StatusCode::OK, "Let in", WELCOME) }))
        .route("/drop", post(take))
        .route("/became/{hash}", get(became))
        .fallback(show)
        .layer(from_fn_with_state(Arc::clone(&point), guarded))
        .with_state(point)
}

const WELCOME: &str =
    "This device is let in. <a href=\"/board.html\">Go to the board</a>, and keep it among your bookmarks.";
const STRANGER: &str = "This device is not let in here, or its key was withdrawn. Ask the owner of the shop for a code, and scan it \
    with this device.";
const NOTHING: &str = "There is nothing of this name here. <a href=\"/board.html\">Go to the board</a>.";
const AWAY: &str = "The watch folder cannot be reached just now. Try again in a minute; nothing is lost.";

/// Every answer says how it may be used; only what needs no key is answered without one.
async fn guarded(State(point): At, request: Request, next: Next) -> Response {
    let path = request.uri().path();
    let is_open = path.starts_with("/enter/") || path == "/welcome";
    let mut response = if is_open {
        next.run(request).await
    } else {
        match device(&point, request.headers()) {
            Ok(Some(device)) => {
                let mut request = request;
                request.extensions_mut().insert(device);
                next.run(request).await
            }
            Ok(None) => page(StatusCode::UNAUTHORIZED, "Not let in", STRANGER),
            Err(()) => page(
                StatusCode::SERVICE_UNAVAILABLE,
                "Not now",
                "Keys cannot be looked up; the log says why.",
            ),
        }
    };
    let policy = format!(
        "default-src 'none'; style-src 'unsafe-inline'; script-src '{}'; connect-src 'self'; frame-ancestors 'none'; \
         base-uri 'none'; form-action 'none'",
        point.hooks.script
    );
    let fixed: [(HeaderName, &str); 5] = [
        (CONTENT_SECURITY_POLICY, &policy),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        (X_FRAME_OPTIONS, "DENY"),
        (CACHE_CONTROL, "no-store"),
    ];
    for (name, value) in fixed {
        if let Ok(value) = HeaderValue::from_str(value) {
            response.headers_mut().insert(name, value);
        }
    }
    response
}

/// Whose request it is, by its cookie; `Err` where the keys cannot be read.
fn device(point: &Point, headers: &HeaderMap) -> Result<Option<Device>, ()> {
    let cookies = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
    let mut keys = cookies.flat_map(|all| all.split(';')).filter_map(|one| {
        let (name, value) = one.trim().split_once('=')?;
        (name == KEY).then_some(value)
    });
    let Some(key) = keys.next() else { return Ok(None) };
    point.hooks.keys.whose(key).map_err(|error| tracing::error!(%error, "keys of devices"))
}

/// A device comes with its key: it goes into a cookie, and out of the address.
async fn enter(State(point): At, Path(key): Path<String>) -> Response {
    match point.hooks.keys.whose(&key) {
        Ok(Some(device)) => {
            tracing::info!(device = %device.name, "let in at the drop point");
            let secure = if point.hooks.encrypted { "; Secure" } else { "" };
            let cookie = format!("{KEY}={key}; Path=/; Max-Age={KEPT}; HttpOnly; SameSite=Strict{secure}");
            let mut response = to("/welcome");
            if let Ok(cookie) = HeaderValue::from_str(&cookie) {
                response.headers_mut().insert(SET_COOKIE, cookie);
            }
            response
        }
        Ok(None) => page(StatusCode::UNAUTHORIZED, "Not let in", STRANGER),
        Err(error) => {
            tracing::error!(%error, "keys of devices");
            page(StatusCode::SERVICE_UNAVAILABLE, "Not now", "Keys cannot be looked up; the log says why.")
        }
    }
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

/// A paper comes in. The answer names it by its hash once the disk has it.
async fn take(State(point): At, request: Request) -> Response {
    let Some(device) = request.extensions().get::<Device>().cloned() else {
        return page(StatusCode::UNAUTHORIZED, "Not let in", STRANGER);
    };
    let name = match own_name(request.headers()) {
        Ok(name) => name,
        Err(why) => return said(StatusCode::FORBIDDEN, why),
    };
    if !point.allowance.takes(&device.name, point.hooks.clock.since_start()) {
        let mut response =
            said(StatusCode::TOO_MANY_REQUESTS, "Too many at once: the next is taken in a few seconds.");
        response.headers_mut().insert(RETRY_AFTER, HeaderValue::from_static("5"));
        return response;
    }
    let bytes = match body(request.into_body()).await {
        Ok(bytes) => bytes,
        Err((status, why)) => return said(status, why),
    };
    let hash = Digest::of(&bytes);
    let name = name_in_drop(&device.name, &name, &hash);
    let taken = {
        let (point, name) = (Arc::clone(&point), name.clone());
        in_background(move || {
            let _one = point.writing.lock().unwrap_or_else(PoisonError::into_inner);
            put(&point.hooks.watch_folder, &name, &bytes)
        })
        .await
    };
    answered(&point, &device, &name, &hash, taken)
}

/// What a device is told of a paper it handed in.
fn answered(
    point: &Point,
    device: &Device,
    name: &str,
    hash: &Digest,
    taken: Option<Result<(), NotTaken>>,
) -> Response {
    match taken {
        Some(Ok(())) => {
            tracing::info!(device = %device.name, name, "taken at the drop point");
            (point.hooks.wake)();
            let text = json!({"taken": hash.hex(), "name": name}).to_string();
            (StatusCode::CREATED, [(CONTENT_TYPE, "application/json")], text).into_response()
        }
        Some(Err(NotTaken::Full)) => said(
            StatusCode::INSUFFICIENT_STORAGE,
            "The shop's disk is full: keep it on this device, and tell the owner.",
        ),
        Some(Err(NotTaken::Away)) => said(StatusCode::SERVICE_UNAVAILABLE, AWAY),
        Some(Err(NotTaken::Failed(error))) => {
            tracing::error!(device = %device.name, name, %error, "taking a paper at the drop point");
            said(StatusCode::SERVICE_UNAVAILABLE, AWAY)
        }
        None => said(StatusCode::SERVICE_UNAVAILABLE, AWAY),
    }
}

/// What a paper is called; only a page that came from here can say.
fn own_name(headers: &HeaderMap) -> Result<String, &'static str> {
    const FOREIGN: &str = "This does not come from a page of the drop point.";
    let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    if let Some(origin) = text(ORIGIN) {
        let host = origin.split_once("://").map(|(_, host)| host);
        if host.is_none() || host != text(HOST) {
            return Err(FOREIGN);
        }
    }
    let name = text(HeaderName::from_static(OURS)).ok_or(FOREIGN)?;
    Ok(name.to_owned())
}

/// The bytes of a paper, within their bounds.
async fn body(body: Body) -> Result<Bytes, (StatusCode, &'static str)> {
    match tokio::time::timeout(BODY_WITHIN, to_bytes(body, MOST)).await {
        Ok(Ok(bytes)) if bytes.is_empty() => Err((StatusCode::BAD_REQUEST, "There is nothing in it.")),
        Ok(Ok(bytes)) => Ok(bytes),
        Ok(Err(_)) => Err((
            StatusCode::PAYLOAD_TOO_LARGE,
            "It did not come whole, or is larger than 1 MiB: make its pictures smaller, or send it in parts.",
        )),
        Err(_) => Err((StatusCode::REQUEST_TIMEOUT, "It took longer than a minute: try again.")),
    }
}

/// What became of a paper: `{"became": "filed"}`, `copy`, `returned` with its slip, or `waits`.
async fn became(State(point): At, Path(hash): Path<String>) -> Response {
    let Some(hash) = Digest::from_hex(&hash) else {
        return page(StatusCode::NOT_FOUND, "Nothing here", NOTHING);
    };
    let fate = in_background(move || (point.hooks.fate)(&hash)).await.flatten();
    let text = match fate {
        None => json!({"became": "waits"}),
        Some(Fate::Filed) => json!({"became": "filed"}),
        Some(Fate::Copy) => json!({"became": "copy"}),
        Some(Fate::Returned(slip)) => json!({"became": "returned", "slip": slip}),
    };
    ([(CONTENT_TYPE, "application/json")], text.to_string()).into_response()
}

/// What reads or writes files runs beside the doors; `None` where it panicked, which is a defect and ends nothing else.
async fn in_background<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Option<T> {
    tokio::task::spawn_blocking(work).await.ok()
}

fn to(place: &'static str) -> Response {
    (StatusCode::SEE_OTHER, [(LOCATION, place)]).into_response()
}

/// An answer that our own page prints.
fn said(status: StatusCode, words: &'static str) -> Response {
    (status, [(CONTENT_TYPE, "text/plain; charset=utf-8")], words).into_response()
}

/// A short page of our own; its words are ours, and HTML.
fn page(status: StatusCode, title: &'static str, words: &'static str) -> Response {
    let text = format!(
        "<!DOCTYPE html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" \
         content=\"width=device-width, initial-scale=1\"><title>{title}</title><style>body {{ font-family: sans-serif; \
         line-height: 1.5; max-width: 34em; margin: 2em auto; padding: 0 1em; color-scheme: light dark; }}</style></head>\
         <body><h1>{title}</h1><p>{words}</p></body></html>"
    );
    let mut response = (status, [(CONTENT_TYPE, "text/html; charset=utf-8")], text).into_response();
    if status == StatusCode::METHOD_NOT_ALLOWED {
        response.headers_mut().insert(ALLOW, HeaderValue::from_static("GET, HEAD"));
    }
    response
}
