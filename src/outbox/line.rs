//! The line to a mail relay: calling it, and hearing only so much of it.

use super::outcome::Fault;
use lettre::transport::smtp::client::AsyncTokioStream;
use std::io::{Error, ErrorKind, Result};
use std::net::SocketAddr;
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpStream, lookup_host};
use tokio::time::timeout;

/// All answers of one letter, with the certificates of a change to TLS; usually some kilobytes. The mail library takes
/// 100 kB an answer, but looks at that only when a line has ended (one without an end would fill the memory for as long
/// as the letter may take), and reads an answer of many lines anew with each of them: 10,000 lines hold up the thread
/// for longer than any time limit.
const MOST_HEARD: usize = 32 * 1024;

/// A line that breaks when the relay talks without end.
#[derive(Debug)]
pub(super) struct Line {
    tcp: TcpStream,
    may_hear: usize,
}

/// The addresses of a name.
///
/// # Errors
/// What the look-up says, in words.
pub(super) async fn looked_up(host: &str, port: u16) -> std::result::Result<Vec<SocketAddr>, Fault> {
    lookup_host((host, port)).await.map(Iterator::collect).map_err(|error| broken(&error))
}

fn broken(error: &Error) -> Fault {
    Fault::Broken(error.to_string())
}

impl Line {
    /// Calls one address after the other, each for so long.
    ///
    /// # Errors
    /// The last that went wrong, in words.
    pub(super) async fn call(addresses: &[SocketAddr], each: Duration) -> std::result::Result<Self, Fault> {
        let mut last = Fault::Broken("its name has no address".to_owned());
        for address in addresses {
            match timeout(each, TcpStream::connect(address)).await {
                Ok(Ok(tcp)) => return Ok(Self { tcp, may_hear: MOST_HEARD }),
                Ok(Err(error)) => last = broken(&error),
                Err(_) => last = Fault::Silent(each),
            }
        }
        Err(last)
    }
}

impl AsyncRead for Line {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, into: &mut ReadBuf<'_>) -> Poll<Result<()>> {
        let before = into.filled().len();
        ready!(Pin::new(&mut self.tcp).poll_read(cx, into))?;
        let heard = into.filled().len() - before;
        match self.may_hear.checked_sub(heard) {
            Some(left) => {
                self.may_hear = left;
                Poll::Ready(Ok(()))
            }
            None => Poll::Ready(Err(Error::new(ErrorKind::InvalidData, "the relay talks without end"))),
        }
    }
}

impl AsyncWrite for Line {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<Result<usize>> {
        Pin::new(&mut self.tcp).poll_write(cx, bytes)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Result<()>> {
        Pin::new(&mut self.tcp).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Result<()>> {
        Pin::new(&mut self.tcp).poll_shutdown(cx)
    }
}

impl AsyncTokioStream for Line {
    fn peer_addr(&self) -> Result<SocketAddr> {
        self.tcp.peer_addr()
    }
}
