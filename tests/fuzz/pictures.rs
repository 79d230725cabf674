//! Pictures, by themselves and embedded in a finding.

use super::readers::{SITE, World, drop_of};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use benchdrop::facts::{Digest, decode, media_of, picture_in, size_of};
use serde_json::json;

/// By itself a picture is returned with words; embedded it is kept as it is, or refused.
pub(super) fn picture_of(world: &World, bytes: &[u8]) -> bool {
    if let Some((width, height)) = media_of(bytes).and_then(|media| size_of(media, bytes)) {
        assert!(0 < width && 0 < height);
    }
    drop_of(world, bytes);
    let drop = json!({"kind": "finding", "version": 1, "job": "24-017", "who": "LM",
        "recorded": "2026-03-02T09:15:00+01:00",
        "body": {"embedded": [{"name": "crank.jpg", "data": BASE64_STANDARD.encode(bytes)}]}});
    let drop = drop.to_string();
    if let Ok(fact) = decode(drop.as_bytes(), SITE) {
        assert_eq!(picture_in(drop.as_bytes(), &Digest::of(bytes)).as_deref(), Some(bytes), "{:?}", fact.id);
    }
    drop_of(world, drop.as_bytes())
}
