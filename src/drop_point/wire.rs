//! The listener: a thread of its own, connections within bounds, encrypted where there is a certificate.

use super::doors::{Hooks, doors};
use super::tls::acceptor;
use crate::config::Listening;
use axum::Router;
use hyper::server::conn::http1;
use hyper_util::{
    rt::{TokioIo, TokioTimer},
    service::TowerToHyperService,
};
use std::{io, net::SocketAddr, sync::Arc, thread::JoinHandle, time::Duration};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::{Builder, Runtime};
use tokio::sync::{Notify, Semaphore};
use tokio_rustls::TlsAcceptor;

/// Connections at a time; more are turned away.
const CONNECTIONS: usize = 64;
/// How long the head of a request, or the greeting of an encrypted line, may take.
const HEAD_WITHIN: Duration = Duration::from_secs(10);
/// How long a connection may last.
const WITHIN: Duration = Duration::from_secs(180);
/// How long what is under way may take to end at a stop.
const END_WITHIN: Duration = Duration::from_secs(2);

/// The drop point while it listens; it ends when this is dropped.
pub struct DropPoint {
    /// Where it listens; the port that was chosen where 0 was asked for.
    pub at: SocketAddr,
    stop: Arc<Notify>,
    thread: Option<JoinHandle<()>>,
}

impl DropPoint {
    /// Begins to listen.
    ///
    /// # Errors
    /// The address is taken or not ours, or certificate and key cannot be used.
    pub fn begin(listening: &Listening, hooks: Hooks) -> io::Result<Self> {
        let tls = listening.certificate.as_ref().map(acceptor).transpose()?;
        let runtime = Builder::new_current_thread().enable_all().max_blocking_threads(8).build()?;
        let listener = runtime.block_on(TcpListener::bind(listening.at))?;
        let at = listener.local_addr()?;
        let stop = Arc::new(Notify::new());
        let told = Arc::clone(&stop);
        let run = move || serve(runtime, listener, tls, doors(hooks), &told);
        let thread = std::thread::Builder::new().name("drop point".to_owned()).spawn(run)?;
        tracing::info!(%at, encrypted = listening.certificate.is_some(), "the drop point listens");
        Ok(Self { at, stop, thread: Some(thread) })
    }
}

impl Drop for DropPoint {
    fn drop(&mut self) {
        self.stop.notify_one();
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            tracing::error!("the drop point ended in a panic");
        }
    }
}

fn serve(runtime: Runtime, listener: TcpListener, tls: Option<TlsAcceptor>, doors: Router, stop: &Notify) {
    runtime.block_on(async {
        let room = Arc::new(Semaphore::new(CONNECTIONS));
        loop {
            let accepted = tokio::select! {
                accepted = listener.accept() => accepted,
                () = stop.notified() => return,
            };
            match accepted {
                Ok((stream, _)) => {
                    // Without room it is closed at once; our page tries again.
                    let Ok(place) = Arc::clone(&room).try_acquire_owned() else { continue };
                    let (tls, doors) = (tls.clone(), doors.clone());
                    tokio::spawn(async move {
                        // What goes wrong on a line is its device's to see; the service only ends it.
                        drop(tokio::time::timeout(WITHIN, greet(stream, tls, doors)).await);
                        drop(place);
                    });
                }
                Err(error) => {
                    tracing::warn!(%error, "a connection at the drop point");
                    tokio::time::sleep(Duration::from_millis(200)).await;
                }
            }
        }
    });
    runtime.shutdown_timeout(END_WITHIN);
}

async fn greet(stream: TcpStream, tls: Option<TlsAcceptor>, doors: Router) {
    let Some(tls) = tls else { return talk(stream, doors).await };
    if let Ok(Ok(stream)) = tokio::time::timeout(HEAD_WITHIN, tls.accept(stream)).await {
        talk(stream, doors).await;
    }
}

async fn talk(stream: impl AsyncRead + AsyncWrite + Unpin + Send + 'static, doors: Router) {
    let served = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_WITHIN)
        .max_buf_size(64 * 1024)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(doors));
    if let Err(error) = served.await {
        tracing::debug!(%error, "a line to the drop point ended early");
    }
}
