//! Papers that mean harm, or that nobody could have meant: each is returned, held or shown escaped, and nothing is
//! followed, opened, believed or lost. One file a kind of harm.
//!
//! Guards promise 1 (nothing dropped is lost) where the dropping is at its worst.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

mod support;
#[path = "support/temp_shop.rs"]
mod temp_shop;

#[path = "hostile/bytes.rs"]
mod bytes;
#[path = "hostile/names.rs"]
mod names;
#[path = "hostile/pictures.rs"]
mod pictures;
#[path = "hostile/random.rs"]
mod random;
#[path = "hostile/tables.rs"]
mod tables;
#[path = "hostile/tags.rs"]
mod tags;
#[path = "hostile/words.rs"]
mod words;
