//! Who is let in: a device by the key in its cookie, and what each answer forbids to whoever reads it.

use super::answers::{STRANGER, page, to};
use super::doors::{At, Point};
use super::keys::Device;
use axum::extract::{Path, Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, COOKIE, REFERRER_POLICY, SET_COOKIE, X_CONTENT_TYPE_OPTIONS,
    X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode};
use axum::middleware::Next;
use axum::response::Response;

/// The cookie that holds the key of a device.
const KEY: &str = "benchdrop-key";
/// A year and a month, in seconds: about the longest that browsers keep a cookie.
const KEPT: u32 = 34_000_000;
/// Every answer says how it may be used; only what needs no key is answered without one.
pub(super) async fn guarded(State(point): At, request: Request, next: Next) -> Response {
    let path = request.uri().path();
    let is_open = path.starts_with("/enter/") || path == "/welcome";
    let mut response = if is_open {
        next.run(request).await
    } else {
        match device(&point, key_of(request.headers())) {
            Ok(device) => {
                let mut request = request;
                request.extensions_mut().insert(device);
                next.run(request).await
            }
            Err(refusal) => *refusal,
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

/// The key in the cookie of a request.
fn key_of(headers: &HeaderMap) -> Option<&str> {
    let cookies = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
    cookies.flat_map(|all| all.split(';')).find_map(|one| {
        let (name, value) = one.trim().split_once('=')?;
        (name == KEY).then_some(value)
    })
}

/// Whose key it is, or what a stranger is told.
fn device(point: &Point, key: Option<&str>) -> Result<Device, Box<Response>> {
    match key.map(|key| point.hooks.keys.whose(key)) {
        Some(Ok(Some(device))) => Ok(device),
        Some(Ok(None)) | None => Err(Box::new(page(StatusCode::UNAUTHORIZED, "Not let in", STRANGER))),
        Some(Err(error)) => {
            tracing::error!(%error, "keys of devices");
            let words = "Keys cannot be looked up; the log says why.";
            Err(Box::new(page(StatusCode::SERVICE_UNAVAILABLE, "Not now", words)))
        }
    }
}

/// A device comes with its key: it goes into a cookie, and out of the address.
pub(super) async fn enter(State(point): At, Path(key): Path<String>) -> Response {
    let device = match device(&point, Some(&key)) {
        Ok(device) => device,
        Err(refusal) => return *refusal,
    };
    tracing::info!(device = %device.name, "let in at the drop point");
    let secure = if point.hooks.encrypted { "; Secure" } else { "" };
    let cookie = format!("{KEY}={key}; Path=/; Max-Age={KEPT}; HttpOnly; SameSite=Strict{secure}");
    let mut response = to("/welcome");
    if let Ok(cookie) = HeaderValue::from_str(&cookie) {
        response.headers_mut().insert(SET_COOKIE, cookie);
    }
    response
}
