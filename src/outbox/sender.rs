//! The thread that sends: takes letters from a channel, tries each once, reports what became of it.

use super::back_off::back_off;
use super::error::OutboxError;
use super::outcome::{Sent, Tried};
use super::route::{Outgoing, Route};
use super::try_once;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::RecvTimeoutError;
use std::thread::JoinHandle;
use std::time::Duration;
use tokio::runtime::Runtime;
use tokio::sync::{Semaphore, mpsc, oneshot, watch};
use tokio::task::JoinSet;

/// Letters that may wait here; the rest waits in the ledger.
const WAITING: usize = 64;
/// Letters that are on their way at once. One would let a slow letter hold up all others; many would look like a
/// flood to the relay.
pub const IN_FLIGHT: usize = 2;
/// For file writes and name look-ups, which can hang with the system.
const BLOCKING_THREADS: usize = 4;

type Report = Box<dyn Fn(i64, Sent) + Send>;

/// A running letter sender.
///
/// At most two letters are in flight; while the relay is failing (no connection, no login) it is one at a
/// time, until one gets as far as naming its recipient. Letters that wait here when it stops are dropped
/// without a report: the ledger still has them.
#[derive(Debug)]
pub struct Sender {
    letters: mpsc::Sender<Outgoing>,
    route: watch::Sender<Arc<Route>>,
    stop: oneshot::Sender<Duration>,
    ended: std::sync::mpsc::Receiver<()>,
    thread: JoinHandle<()>,
}

impl Sender {
    /// Starts the thread. `report` runs on it, once for each letter tried, with the letter's id; a slow
    /// report holds up the letters.
    ///
    /// # Errors
    ///
    /// [`OutboxError::Start`] when the system gives no thread.
    pub fn start(route: Route, report: Report) -> Result<Self, OutboxError> {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .max_blocking_threads(BLOCKING_THREADS)
            .build()
            .map_err(|source| OutboxError::Start { source })?;
        let (letters, letters_in) = mpsc::channel(WAITING);
        let (route, route_in) = watch::channel(Arc::new(route));
        let (stop, stop_in) = oneshot::channel();
        let (ended_out, ended) = std::sync::mpsc::channel();
        let desk = Desk { letters: letters_in, route: route_in, state: Arc::default() };
        let thread = std::thread::Builder::new()
            .name("outbox".to_owned())
            .spawn(move || {
                // Dropped when this thread ends, however it ends: that is how `stop` learns of it.
                let _ended_out = ended_out;
                run(runtime, desk, stop_in, &report);
            })
            .map_err(|source| OutboxError::Start { source })?;
        Ok(Self { letters, route, stop, ended, thread })
    }

    /// Hands over a letter. `false`: 64 are waiting already, or the thread has ended; try later.
    #[must_use]
    pub fn submit(&self, letter: Outgoing) -> bool {
        self.letters.try_send(letter).is_ok()
    }

    /// Sends over another route from the next letter on. Letters in flight end on the old one.
    pub fn reroute(&self, route: Route) {
        self.route.send_replace(Arc::new(route));
    }

    /// Is the thread still there? It ends before [`Sender::stop`] only when `report` panics; the caller then
    /// has a program that sends no letters and should end it.
    #[must_use]
    pub fn is_running(&self) -> bool {
        !self.thread.is_finished()
    }

    /// Takes no more letters, lets those in flight end for `within`, drops the rest, ends the thread.
    ///
    /// A letter dropped in flight may have arrived; sent again, it is known by its Message-ID.
    pub fn stop(self, within: Duration) {
        let Self { letters, route: _, stop, ended, thread } = self;
        // The thread may be gone already; then there is nobody to tell.
        stop.send(within).ok();
        drop(letters);
        // A second more than asked of the thread, then it is left behind: the process is ending anyway.
        let grace = within.saturating_add(Duration::from_secs(1));
        if ended.recv_timeout(grace) != Err(RecvTimeoutError::Timeout) {
            // A panic of the thread was printed when it happened; stopping is all that is asked here.
            thread.join().ok();
        }
    }
}

/// What the sending thread holds.
struct Desk {
    letters: mpsc::Receiver<Outgoing>,
    route: watch::Receiver<Arc<Route>>,
    state: Arc<State>,
}

#[derive(Default)]
struct State {
    /// The last letter did not get past the relay's door.
    relay_failing: AtomicBool,
    stopping: AtomicBool,
}

fn run(runtime: Runtime, desk: Desk, stop: oneshot::Receiver<Duration>, report: &Report) {
    runtime.block_on(async move {
        let (done, mut outcomes) = mpsc::unbounded_channel();
        let state = Arc::clone(&desk.state);
        let dispatcher = tokio::spawn(dispatch(desk, done));
        tokio::spawn(async move {
            // A `Sender` that was dropped, not stopped, asks for no time.
            let within = stop.await.unwrap_or_default();
            state.stopping.store(true, Ordering::Relaxed);
            tokio::time::sleep(within).await;
            dispatcher.abort();
        });
        // Ends when the dispatcher and all letters in flight are gone.
        while let Some((id, sent)) = outcomes.recv().await {
            report(id, sent);
        }
    });
    // Not a plain drop: that would wait for a file write or a name look-up that hangs.
    runtime.shutdown_background();
}

/// Sets letters on their way, never more at once than allowed. Cancelled, it takes those in flight with it.
async fn dispatch(mut desk: Desk, done: mpsc::UnboundedSender<(i64, Sent)>) {
    let seats = Arc::new(Semaphore::new(IN_FLIGHT));
    let mut in_flight = JoinSet::new();
    while let Some(letter) = desk.letters.recv().await {
        let Ok(seat) = Arc::clone(&seats).acquire_owned().await else { break };
        // Only this task takes seats, so taking the second as well cannot lock up: it waits until the other
        // letter is home, and this one goes alone.
        let other = if desk.state.relay_failing.load(Ordering::Relaxed) {
            Arc::clone(&seats).acquire_owned().await.ok()
        } else {
            None
        };
        if desk.state.stopping.load(Ordering::Relaxed) {
            break;
        }
        let (route, state, done) = (desk.route.borrow().clone(), Arc::clone(&desk.state), done.clone());
        in_flight.spawn(async move {
            let id = letter.id;
            let tried = try_apart(route, letter).await;
            state.relay_failing.store(tried.relay_failing, Ordering::Relaxed);
            drop((seat, other));
            // Nobody listens any more only when the thread is ending; the ledger then sends it again.
            done.send((id, tried.sent)).ok();
        });
        while in_flight.try_join_next().is_some() {}
    }
    while in_flight.join_next().await.is_some() {}
}

/// Tries the letter as a task of its own, so that one that makes the mail library panic stops no other.
async fn try_apart(route: Arc<Route>, letter: Outgoing) -> Tried {
    let wait = back_off(letter.attempts, letter.id);
    let trying = tokio::spawn(async move { try_once(&route, &letter).await });
    trying.await.unwrap_or_else(|error| {
        let why = if error.is_panic() { "a fault in the program" } else { "the sender was stopped" };
        Tried { sent: Sent::Later { why: format!("sending a letter: {why}"), wait }, relay_failing: false }
    })
}
