//! The listener: a thread of its own, connections within bounds, encrypted where there is a certificate.

use super::doors::{Hooks, doors};
use super::room::Room;
use super::taking::sweep;
use super::tls::Encryption;
use crate::config::Listening;
use axum::Router;
use hyper::server::conn::http1;
use hyper_util::{
    rt::{TokioIo, TokioTimer},
    service::TowerToHyperService,
};
use std::{io, net::SocketAddr, pin::pin, sync::Arc, thread::JoinHandle, time::Duration};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::{Builder, Runtime};
use tokio::sync::watch;
use tokio::time::{sleep, timeout};

/// How long the head of a request, or the greeting of an encrypted line, may take.
const HEAD_WITHIN: Duration = Duration::from_secs(10);
/// How long a connection may last.
const WITHIN: Duration = Duration::from_secs(180);
/// How long what is under way may take to end at a stop.
const END_WITHIN: Duration = Duration::from_secs(2);
/// How often an address that is not ours yet is tried.
const ADDRESS_EVERY: Duration = Duration::from_secs(5);

/// The drop point while it listens; it ends when this is dropped.
pub struct DropPoint {
    /// Says that it ends.
    end: watch::Sender<bool>,
    thread: Option<JoinHandle<()>>,
}

/// What serves every line.
#[derive(Clone)]
struct Desk {
    doors: Router,
    encryption: Option<Arc<Encryption>>,
    ends: watch::Receiver<bool>,
}

impl DropPoint {
    /// Begins to listen. An address that this machine does not have yet, as at a start before the network is there, is
    /// waited for: the shop's work goes on without it.
    ///
    /// # Errors
    /// The address is taken, or certificate and key cannot be used.
    pub fn begin(listening: &Listening, hooks: Hooks) -> io::Result<Self> {
        let encryption = listening.certificate.as_ref().map(Encryption::of).transpose()?.map(Arc::new);
        let runtime = Builder::new_current_thread().enable_all().max_blocking_threads(8).build()?;
        let at = listening.at;
        let bound = match runtime.block_on(TcpListener::bind(at)) {
            Ok(listener) => Some(listener),
            Err(error) if error.kind() == io::ErrorKind::AddrNotAvailable => {
                tracing::warn!(%at, "the drop point waits: this machine does not have its address (yet)");
                None
            }
            Err(error) => return Err(io::Error::new(error.kind(), format!("{at}: {error}"))),
        };
        let (end, ends) = watch::channel(false);
        let folder = hooks.watch_folder.clone();
        runtime.spawn_blocking(move || sweep(&folder));
        let desk = Desk { doors: doors(hooks), encryption, ends };
        let run = move || serve(runtime, at, bound, &desk);
        let thread = std::thread::Builder::new().name("drop point".to_owned()).spawn(run)?;
        Ok(Self { end, thread: Some(thread) })
    }
}

impl Drop for DropPoint {
    fn drop(&mut self) {
        self.end.send_replace(true);
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            tracing::error!("the drop point ended in a panic");
        }
    }
}

/// Until the end is said.
async fn ended(ends: &watch::Receiver<bool>) {
    // Whoever says it is gone only after it was said.
    drop(ends.clone().wait_for(|ends| *ends).await);
}

fn serve(runtime: Runtime, at: SocketAddr, bound: Option<TcpListener>, desk: &Desk) {
    runtime.block_on(async {
        let room = Room::default();
        tokio::select! {
            () = welcome(at, bound, desk, &room) => {}
            () = ended(&desk.ends) => {}
        }
        // What is under way is heard and answered; lines on which nothing is said end at once.
        drop(timeout(END_WITHIN, room.is_empty()).await);
    });
    runtime.shutdown_timeout(END_WITHIN);
}

async fn welcome(at: SocketAddr, bound: Option<TcpListener>, desk: &Desk, room: &Room) {
    let listener = match bound {
        Some(listener) => listener,
        None => when_ours(at).await,
    };
    tracing::info!(%at, encrypted = desk.encryption.is_some(), "the drop point listens");
    loop {
        match listener.accept().await {
            Ok((stream, from)) => {
                // Without room it is closed at once; our page tries again.
                let Some(place) = room.place(from.ip()) else { continue };
                let desk = desk.clone();
                tokio::spawn(async move {
                    // What goes wrong on a line is its device's to see; the service only ends it.
                    drop(timeout(WITHIN, greet(stream, desk)).await);
                    drop(place);
                });
            }
            Err(error) => {
                tracing::warn!(%error, "a connection at the drop point");
                sleep(Duration::from_millis(200)).await;
            }
        }
    }
}

async fn when_ours(at: SocketAddr) -> TcpListener {
    loop {
        sleep(ADDRESS_EVERY).await;
        if let Ok(listener) = TcpListener::bind(at).await {
            return listener;
        }
    }
}

async fn greet(stream: TcpStream, desk: Desk) {
    let Some(encryption) = &desk.encryption else { return talk(stream, &desk).await };
    if let Ok(Ok(stream)) = timeout(HEAD_WITHIN, encryption.acceptor().accept(stream)).await {
        talk(stream, &desk).await;
    }
}

async fn talk(stream: impl AsyncRead + AsyncWrite + Unpin + Send + 'static, desk: &Desk) {
    let served = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_WITHIN)
        .max_buf_size(64 * 1024)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(desk.doors.clone()));
    let mut served = pin!(served);
    let done = tokio::select! {
        done = served.as_mut() => done,
        () = ended(&desk.ends) => {
            served.as_mut().graceful_shutdown();
            served.await
        }
    };
    if let Err(error) = done {
        tracing::debug!(%error, "a line to the drop point ended early");
    }
}
