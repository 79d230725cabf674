//! What the drop point says: short pages and words of our own.

use axum::http::header::{ALLOW, CONTENT_TYPE, LOCATION};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse as _, Response};

pub(super) const WELCOME: &str =
    "This device is let in. <a href=\"/board.html\">Go to the board</a>, and keep it among your bookmarks.";
pub(super) const STRANGER: &str = "This device is not let in here, or its key was withdrawn. Ask the owner of the shop for a code, and scan it \
    with this device. If it was let in and a link of another page led here, <a href=\"/\">go on from here</a>.";
pub(super) const NOTHING: &str =
    "There is nothing of this name here. <a href=\"/board.html\">Go to the board</a>.";
pub(super) const AWAY: &str =
    "The watch folder cannot be reached just now. Try again in a minute; nothing is lost.";

/// What reads or writes files runs beside the doors; `None` where it panicked, which is a defect and ends nothing else.
pub(super) async fn in_background<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Option<T> {
    tokio::task::spawn_blocking(work).await.ok()
}

pub(super) fn to(place: &'static str) -> Response {
    (StatusCode::SEE_OTHER, [(LOCATION, place)]).into_response()
}

/// An answer that our own page prints.
pub(super) fn said(status: StatusCode, words: &'static str) -> Response {
    (status, [(CONTENT_TYPE, "text/plain; charset=utf-8")], words).into_response()
}

/// A short page of our own; its words are ours, and HTML.
pub(super) fn page(status: StatusCode, title: &'static str, words: &'static str) -> Response {
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
