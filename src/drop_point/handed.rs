//! What is handed in: from a page of ours, within bounds, and acknowledged once the disk has it.

use super::answers::{AWAY, STRANGER, in_background, page, said};
use super::doors::{At, Point};
use super::keys::Device;
use super::taking::{NotTaken, Taken, put};
use crate::facts::Digest;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::{CONTENT_TYPE, HOST, ORIGIN, RETRY_AFTER};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode};
use axum::response::{IntoResponse as _, Response};
use http_body_util::BodyExt as _;
use serde_json::json;
use std::sync::{Arc, PoisonError};
use std::time::Duration;

/// What only our own page sends: another site's page cannot without asking, and is not answered.
const OURS: &str = "x-drop-name";
/// The largest paper that is taken, in bytes; the same as of any other.
const MOST: usize = 1024 * 1024;
/// So much of a larger one is heard before the line is closed.
const MOST_HEARD: usize = 32 * MOST;
/// How long the body of a paper may take.
const BODY_WITHIN: Duration = Duration::from_secs(60);

/// A paper comes in. The answer names it by its hash once the disk has it.
pub(super) async fn take(State(point): At, request: Request) -> Response {
    let Some(device) = request.extensions().get::<Device>().cloned() else {
        return page(StatusCode::UNAUTHORIZED, "Not let in", STRANGER);
    };
    let name = match own_name(request.headers(), &point.hooks.address) {
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
    let taken = {
        let (point, device) = (Arc::clone(&point), device.name.clone());
        in_background(move || {
            let after = point.hooks.word.so_far();
            let _one = point.writing.lock().unwrap_or_else(PoisonError::into_inner);
            let (taken, name) = put(&point.hooks.watch_folder, &device, &name, &bytes)?;
            // What lay there may have been recorded before we looked.
            Ok((name, if taken == Taken::Now { after } else { 0 }))
        })
        .await
    };
    answered(&point, &device, &hash, taken)
}

/// What a device is told of a paper it handed in: its hash, and after which arrival to ask for what became of it.
fn answered(
    point: &Point,
    device: &Device,
    hash: &Digest,
    taken: Option<Result<(String, i64), NotTaken>>,
) -> Response {
    let away = || said(StatusCode::SERVICE_UNAVAILABLE, AWAY);
    match taken {
        Some(Ok((name, after))) => {
            tracing::info!(device = %device.name, name, "taken at the drop point");
            (point.hooks.wake)();
            let text = json!({"taken": hash.hex(), "after": after, "name": name}).to_string();
            (StatusCode::CREATED, [(CONTENT_TYPE, "application/json")], text).into_response()
        }
        Some(Err(NotTaken::Full)) => said(
            StatusCode::INSUFFICIENT_STORAGE,
            "The shop's disk is full: keep it on this device, and tell the owner.",
        ),
        Some(Err(NotTaken::Failed(error))) => {
            tracing::error!(device = %device.name, %error, "taking a paper at the drop point");
            away()
        }
        Some(Err(NotTaken::Away)) | None => away(),
    }
}

/// What a paper is called; only a page that came from here can say.
fn own_name(headers: &HeaderMap, address: &str) -> Result<String, &'static str> {
    const FOREIGN: &str = "This does not come from a page of the drop point.";
    let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    if let Some(origin) = text(ORIGIN) {
        // A proxy may say its own name as the host; the address is what devices come by.
        let host = origin.split_once("://").map(|(_, host)| host);
        if origin != address && (host.is_none() || host != text(HOST)) {
            return Err(FOREIGN);
        }
    }
    let name = text(HeaderName::from_static(OURS)).ok_or(FOREIGN)?;
    Ok(name.to_owned())
}

/// The bytes of a paper, within their bounds. What is too large is heard to its end, within bounds too: who still sends does
/// not hear an answer.
async fn body(mut body: Body) -> Result<Vec<u8>, (StatusCode, &'static str)> {
    let mut bytes = Vec::new();
    let mut heard = 0;
    let read = async {
        while let Some(frame) = body.frame().await {
            let data = frame?.into_data().unwrap_or_default();
            heard += data.len();
            if heard <= MOST {
                bytes.extend_from_slice(&data);
            } else if heard > MOST_HEARD {
                break;
            }
        }
        Ok::<(), axum::Error>(())
    };
    match tokio::time::timeout(BODY_WITHIN, read).await {
        Ok(Ok(())) if heard > MOST => Err((
            StatusCode::PAYLOAD_TOO_LARGE,
            "It is larger than 1 MiB: make its pictures smaller, or send it in parts.",
        )),
        Ok(Ok(())) if bytes.is_empty() => Err((StatusCode::BAD_REQUEST, "There is nothing in it.")),
        Ok(Ok(())) => Ok(bytes),
        Ok(Err(_)) => Err((StatusCode::REQUEST_TIMEOUT, "It did not come whole: try again.")),
        Err(_) => Err((StatusCode::REQUEST_TIMEOUT, "It took longer than a minute: try again.")),
    }
}
