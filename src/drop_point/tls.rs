//! The encrypted line: certificate and key from their files, read again when those change.

use crate::config::Certificate;
use std::fs;
use std::io::{self, Error};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::pem::PemObject as _;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};

/// When each of the two files was written.
type Written = [Option<SystemTime>; 2];

/// What lines are encrypted with. A certificate lives for some weeks; what renews it writes the files, and the next line
/// has the new one without a stop.
pub(super) struct Encryption {
    certificate: Certificate,
    in_use: Mutex<(Written, TlsAcceptor)>,
}

impl Encryption {
    /// Reads certificate and key.
    ///
    /// # Errors
    /// They cannot be read, or do not go together.
    pub(super) fn of(certificate: &Certificate) -> io::Result<Self> {
        let in_use = Mutex::new((written(certificate), acceptor(certificate)?));
        Ok(Self { certificate: certificate.clone(), in_use })
    }

    /// For the next line. Files that cannot be used just now, as between the writing of one and the other, leave the one
    /// before in use.
    pub(super) fn acceptor(&self) -> TlsAcceptor {
        let mut in_use = self.in_use.lock().unwrap_or_else(PoisonError::into_inner);
        let written = written(&self.certificate);
        if in_use.0 != written {
            in_use.0 = written;
            match acceptor(&self.certificate) {
                Ok(renewed) => {
                    tracing::info!("the drop point has a new certificate");
                    in_use.1 = renewed;
                }
                Err(error) => tracing::error!(%error, "the drop point goes on with the certificate it has"),
            }
        }
        in_use.1.clone()
    }
}

fn written(certificate: &Certificate) -> Written {
    let at = |file: &Path| fs::metadata(file).and_then(|found| found.modified()).ok();
    [at(&certificate.chain), at(&certificate.key)]
}

fn acceptor(certificate: &Certificate) -> io::Result<TlsAcceptor> {
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
