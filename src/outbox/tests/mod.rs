//! The outbox under test.
//!
//! `letters` writes letters from hostile text and looks at the bytes; `sending` sends them to relays that
//! misbehave, each a `ScriptedRelay`, and checks what is said to become of them. The scripted relay shares no
//! code with the side under test.
//!
//! Times are short, and no test measures one: each waits for an event and fails when it does not come, so a
//! busy machine makes them slower, not red.
//!
//! Not here: TLS and logins that succeed, which need a certificate. A relay written by others is
//! `tests/peers/smtp_peer.py`, for the integration tests.

mod letters;
mod scripted_relay;
mod sending;

use super::Draft;

fn draft<'a>() -> Draft<'a> {
    Draft {
        from: "bench@shop.example",
        from_name: "Bench",
        to: "owner@shop.example",
        to_name: "The Owner",
        subject: "Job 12: crank journal 3 beyond the limit",
        text: "Journal 3 reads 1.9981.\n.\nNext: grind.\n",
        html: "<p>Journal 3 reads <b>1.9981</b>.</p>",
        message_id: "<1a2b.3c4d@shop.example>",
        date: "2026-03-01T12:00:00Z".parse().unwrap(),
        in_reply_to: None,
    }
}
