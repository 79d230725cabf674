//! The settings of the drop point: off unless they are there, on this machine alone unless they say otherwise.

use super::file;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

/// How the drop point listens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listening {
    /// Address and port it listens at.
    pub at: SocketAddr,
    /// What devices type to reach it, without a slash at the end: `https://bench.shop.example`.
    pub address: String,
    /// What it proves itself with; `None` where a proxy does, or nothing is encrypted.
    pub certificate: Option<Certificate>,
}

/// Files of a certificate, PEM.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Certificate {
    /// The certificate and those above it.
    pub chain: PathBuf,
    /// Its private key.
    pub key: PathBuf,
}

impl Listening {
    /// Are devices told to come over an encrypted line?
    #[must_use]
    pub fn is_encrypted(&self) -> bool {
        self.address.starts_with("https://")
    }

    /// Does the address lead to whatever machine it is opened on?
    #[must_use]
    pub fn is_for_this_machine_alone(&self) -> bool {
        let host = self.address.split_once("://").map_or("", |(_, host)| host);
        ["127.", "localhost", "[::1]"].iter().any(|own| host.starts_with(own))
    }
}

/// The settings, or every reason why they cannot be used.
pub(super) fn checked(
    written: &file::DropPoint,
    base: &Path,
    reasons: &mut Vec<String>,
) -> Option<Listening> {
    let before = reasons.len();
    let at = written.listen.parse::<SocketAddr>();
    if at.is_err() {
        reasons.push(format!(
            "drop-point.listen {:?}: an address and a port; for example \"127.0.0.1:8437\", or \"0.0.0.0:8437\" for the \
             whole network",
            written.listen
        ));
    }
    let certificate = match (&written.certificate, &written.private_key) {
        (Some(chain), Some(key)) => Some(Certificate { chain: base.join(chain), key: base.join(key) }),
        (None, None) => None,
        (Some(_), None) | (None, Some(_)) => {
            reasons.push(
                "drop-point: certificate and private-key go together; name both files, or neither".to_owned(),
            );
            None
        }
    };
    let at = at.ok()?;
    if !at.ip().is_loopback() && certificate.is_none() && !written.unencrypted_on_the_network {
        reasons.push(format!(
            "drop-point.listen {at}: on the network whoever listens in could read everything and drop in any device's name; \
             name certificate and private-key, or listen on 127.0.0.1 behind a proxy that encrypts, or set \
             unencrypted-on-the-network = true and answer for it"
        ));
    }
    let scheme = if certificate.is_some() { "https" } else { "http" };
    if written.address.is_none() && at.ip().is_unspecified() {
        reasons.push(format!(
            "drop-point.address is missing: devices cannot come to {at}; for example \"{scheme}://bench.shop.example:{}\"",
            at.port()
        ));
    }
    let address = written.address.clone().unwrap_or_else(|| format!("{scheme}://{at}"));
    let address = address.trim_end_matches('/').to_owned();
    let host = address.strip_prefix("https://").or_else(|| address.strip_prefix("http://"));
    let plain = |host: &str| {
        !host.is_empty() && host.bytes().all(|b| b.is_ascii_alphanumeric() || b"-.:[]".contains(&b))
    };
    if certificate.is_some() && address.starts_with("http://") {
        reasons.push(format!(
            "drop-point.address {address:?}: with a certificate devices come over https://, and in no other way"
        ));
    }
    if !host.is_some_and(plain) {
        reasons.push(format!(
            "drop-point.address {address:?}: what a device types to come here; for example \"https://bench.shop.example\""
        ));
    }
    (reasons.len() == before).then_some(Listening { at, address, certificate })
}
