//! What is handed in: from a page of ours, within bounds, and acknowledged once the disk has it.

use super::answers::{AWAY, STRANGER, in_background, page, said};
use super::doors::{At, Point};
use super::keys::Device;
use super::taking::{NotTaken, name_in_drop, put};
use crate::facts::Digest;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::header::{CONTENT_TYPE, HOST, ORIGIN, RETRY_AFTER};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode};
use axum::response::{IntoResponse as _, Response};
use serde_json::json;
use std::sync::{Arc, PoisonError};
use std::time::Duration;

/// What only our own page sends: another site's page cannot without asking, and is not answered.
const OURS: &str = "x-drop-name";
/// The largest paper that is taken, in bytes; the same as of any other.
const MOST: usize = 1024 * 1024;
/// How long the body of a paper may take.
const BODY_WITHIN: Duration = Duration::from_secs(60);

/// A paper comes in. The answer names it by its hash once the disk has it.
pub(super) async fn take(State(point): At, request: Request) -> Response {
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
