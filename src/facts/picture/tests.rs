//! Pictures that a browser made 37 wide and 23 high (`tests/data/pictures`), and what could be done to them.

use super::{MOST_BYTES, Media, Picture, media_of, read, size_of};
use crate::facts::Digest;
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;

const JPEG: &[u8] = include_bytes!("../../../tests/data/pictures/plain.jpg");
const PNG: &[u8] = include_bytes!("../../../tests/data/pictures/plain.png");
const LOSSY: &[u8] = include_bytes!("../../../tests/data/pictures/lossy.webp");
const LOSSLESS: &[u8] = include_bytes!("../../../tests/data/pictures/lossless.webp");
const ALPHA: &[u8] = include_bytes!("../../../tests/data/pictures/alpha.webp");

const ALL: [(&str, &[u8], Media); 5] = [
    ("plain.jpg", JPEG, Media::Jpeg),
    ("plain.png", PNG, Media::Png),
    ("lossy.webp", LOSSY, Media::Webp),
    ("lossless.webp", LOSSLESS, Media::Webp),
    ("alpha.webp", ALPHA, Media::Webp),
];

/// The picture, or where its fault stands and what it says.
fn embedded(name: &str, bytes: &[u8]) -> Result<Picture, (String, String)> {
    let mut faults = Vec::new();
    let read = read(name, &BASE64_STANDARD.encode(bytes), "/body/embedded/0", &mut faults);
    match (read, faults.as_slice()) {
        (Some(picture), []) => Ok(picture),
        (None, [fault]) => Err((fault.at.clone(), format!("{} / {}", fault.found, fault.expected))),
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_a_browser_made_is_read_from_its_header() {
    for (name, bytes, media) in ALL {
        let picture = embedded(name, bytes).expect(name);
        assert_eq!((picture.media, picture.width, picture.height), (media, 37, 23), "{name}");
        assert_eq!(
            (picture.hash, picture.bytes),
            (Digest::of(bytes), bytes.len()),
            "{name}: its bytes untouched"
        );
    }
    // The first frame header of a progressive one has another code.
    let mut progressive = JPEG.to_vec();
    let at = progressive.windows(4).position(|w| w == [0xFF, 0xC0, 0x00, 0x11]).expect("a frame header");
    progressive[at + 1] = 0xC2;
    assert_eq!(size_of(Media::Jpeg, &progressive), Some((37, 23)));
}

#[test]
fn the_bytes_decide_and_the_name_must_agree() {
    assert!(embedded("CRANK-2.JPEG", JPEG).is_ok());
    for name in ["crank.png", "crank", "crank.jpg.exe", "jpg"] {
        let (at, why) = embedded(name, JPEG).expect_err(name);
        assert_eq!(at, "/body/embedded/0/name", "{name}");
        assert!(why.contains("by its bytes it is a JPEG picture") && why.contains(".jpg"), "{why}");
    }
    for (bytes, what) in [
        (b"GIF89a\x25\0\x17\0".as_slice(), "GIF"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
        (b"II*\0\x08\0\0\0", "TIFF"),
        (b"%PDF-1.7\n", "no picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "no picture"),
        (b"MZ\x90\0", "no picture"),
        (b"", "no picture"),
    ] {
        let (at, why) = embedded("crank.jpg", bytes).expect_err(what);
        assert_eq!(at, "/body/embedded/0/data");
        assert!(why.contains(what), "{why}");
    }
}

#[test]
fn limits_hold_without_decoding() {
    let sized = |width: u32, height: u32| {
        let mut png = PNG.to_vec();
        png[16..20].copy_from_slice(&width.to_be_bytes());
        png[20..24].copy_from_slice(&height.to_be_bytes());
        embedded("big.png", &png)
    };
    assert!(sized(8_000, 6_000).is_ok());
    for (width, height) in [(16_385, 1), (1, 16_385), (10_000, 5_001), (0x7FFF_FFFF, 0x7FFF_FFFF)] {
        let (_, why) = sized(width, height).expect_err("too many pixels");
        assert!(why.contains("pixels"), "{why}");
    }
    for (width, height) in [(0, 5), (5, 0), (0x8000_0000, 5)] {
        assert!(sized(width, height).expect_err("no size").1.contains("header"));
    }
    let mut heavy = JPEG.to_vec();
    heavy.resize(MOST_BYTES, 0);
    assert!(embedded("heavy.jpg", &heavy).is_ok());
    heavy.push(0);
    assert!(embedded("heavy.jpg", &heavy).expect_err("too heavy").1.contains("KiB"));
    let mut faults = Vec::new();
    for data in ["not base 64!", "AAA", "AA AA", "AAAA\n"] {
        assert_eq!(read("a.jpg", data, "", &mut faults), None, "{data:?}");
    }
    assert_eq!(faults.len(), 4);
}

/// Cut anywhere, or with any byte changed, it is read or refused, and never anything else.
#[test]
fn spoilt_headers_are_read_or_refused() {
    for (name, bytes, media) in ALL {
        for end in 0..bytes.len() {
            let cut = &bytes[..end];
            if let Some(size) = size_of(media, cut) {
                assert_eq!(size, (37, 23), "{name} cut at {end}");
            }
        }
        assert_eq!(size_of(media, &bytes[..16]), None, "{name}: no header in so little");
        for at in 0..bytes.len().min(200) {
            for byte in 0..=255 {
                let mut spoilt = bytes.to_vec();
                spoilt[at] = byte;
                let _ = media_of(&spoilt).map(|media| size_of(media, &spoilt));
            }
        }
    }
    // Lengths that lead nowhere, or for ever.
    let endless = [&[0xFF, 0xD8][..], &[0xFF; 5_000]].concat();
    let short: Vec<u8> = [0xFF, 0xD8, 0xFF, 0xE0, 0, 1].into_iter().chain([0xFF; 100]).collect();
    let far = [0xFF, 0xD8, 0xFF, 0xE0, 0xFF, 0xFF, 1];
    for bytes in [endless.as_slice(), short.as_slice(), far.as_slice()] {
        assert_eq!(size_of(Media::Jpeg, bytes), None);
    }
}
