//! The encrypted line: certificate and key from their files.

use crate::config::Certificate;
use std::io::{self, Error};
use std::path::Path;
use std::sync::Arc;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::pem::PemObject as _;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};

pub(super) fn acceptor(certificate: &Certificate) -> io::Result<TlsAcceptor> {
    let wrong = |what: &Path, why: &dyn std::fmt::Display| {
        Error::other(format!("{}: {why}; a certificate and its key are PEM files", what.display()))
    };
    let chain = CertificateDer::pem_file_iter(&certificate.chain)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(|error| wrong(&certificate.chain, &error))?;
    let key =
        PrivateKeyDer::from_pem_file(&certificate.key).map_err(|error| wrong(&certificate.key, &error))?;
    let config = ServerConfig::builder_with_provider(Arc::new(default_provider()))
        .with_safe_default_protocol_versions()
        .map_err(|error| wrong(&certificate.chain, &error))?
        .with_no_client_auth()
        .with_single_cert(chain, key)
        .map_err(|error| wrong(&certificate.chain, &error))?;
    Ok(TlsAcceptor::from(Arc::new(config)))
}
