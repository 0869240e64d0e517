//! A page served to the browser of this machine, and to nobody else.
//!
//! What is defended, and how:
//!
//! - *Other machines.* Only 127.0.0.1 is bound.
//! - *Other users and programs of this machine.* Every address holds a token of
//!   128 bits from the operating system, compared in constant time; without it
//!   there is nothing but 404. On a machine that is shared, `--no-open` keeps the
//!   address off the list of processes.
//! - *Foreign pages in the same browser.* `Host` must be 127.0.0.1 or localhost
//!   with our port (a foreign name that was led here has another one), `Origin`
//!   and `Sec-Fetch-Site`, where sent, must be our own, and what changes anything
//!   is a POST of `application/json`. Referrers are not sent; nobody may frame us.
//! - *Words that a person wrote.* They are escaped where markup is made, and the
//!   policy of the page runs scripts from its own address only.
//! - *The disk.* No path from the browser becomes a path of the file system: what
//!   can be fetched is a fixed list and the names of files held in memory. What is
//!   written goes where the command line said, by the same functions that the
//!   commands use. A job that is started here gets a folder of its own in the one
//!   that the program was started in: its name is made of the title's plain letters,
//!   and what is there already is neither followed nor written over.
//! - *Slow, many or large requests.* Headers and bodies have a time and a size,
//!   connections a number and a life. All work is done under one lock; a panic in
//!   it becomes a sentence.
//!
//! ```text
//!   connection --guard--> name behind the token --answer--> run::first until a job is
//!                                                          begun, then run::live; under the lock
//! ```

mod answer;
mod desk;
mod guard;

pub use desk::Desk;

use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use std::io;
use std::net::{Ipv4Addr, TcpListener};
use std::pin::pin;
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::sync::Semaphore;

/// Largest header of a request, bytes.
const LARGEST_HEAD: usize = 32 * 1024;
/// Most header lines.
const MOST_HEADERS: usize = 64;

/// Limits of the server.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Longest that a client may take over the header of a request, or stay silent.
    pub header: Duration,
    /// Longest that a client may take over a body.
    pub body: Duration,
    /// Life of a connection; what is being answered then has as long again.
    pub life: Duration,
    /// Connections at the same time; more of them wait.
    pub connections: usize,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits {
            header: Duration::from_secs(10),
            body: Duration::from_secs(10),
            life: Duration::from_secs(120),
            connections: 128,
        }
    }
}

/// A server that listens already and answers once it runs.
pub struct Server {
    listener: TcpListener,
    shared: Arc<Shared>,
}

/// What all connections see.
struct Shared {
    desk: Mutex<Desk>,
    token: String,
    port: u16,
    limits: Limits,
}

impl Server {
    /// Listen on 127.0.0.1; port 0 takes a free one.
    ///
    /// # Errors
    /// A port that is taken; an operating system without random numbers.
    pub fn bind(desk: Desk, port: u16, limits: Limits) -> io::Result<Server> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
        listener.set_nonblocking(true)?;
        let port = listener.local_addr()?.port();
        let token = token()?;
        Ok(Server { listener, shared: Arc::new(Shared { desk: Mutex::new(desk), token, port, limits }) })
    }

    /// The address to open, with the token.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.shared.port, self.shared.token)
    }

    /// Answer until the process ends.
    ///
    /// # Errors
    /// What the operating system says when it gives no event loop.
    pub fn run(self) -> io::Result<()> {
        let runtime =
            tokio::runtime::Builder::new_current_thread().enable_io().enable_time().max_blocking_threads(8).build()?;
        runtime.block_on(self.accept())
    }

    async fn accept(self) -> io::Result<()> {
        let listener = tokio::net::TcpListener::from_std(self.listener)?;
        let places = Arc::new(Semaphore::new(self.shared.limits.connections.max(1)));
        loop {
            let Ok(place) = Arc::clone(&places).acquire_owned().await else { return Ok(()) };
            match listener.accept().await {
                Ok((stream, _)) => {
                    let shared = Arc::clone(&self.shared);
                    tokio::spawn(async move {
                        connection(stream, shared).await;
                        drop(place);
                    });
                }
                // Out of file handles, or a client that is gone again: the next one may do.
                Err(_) => tokio::time::sleep(Duration::from_millis(50)).await,
            }
        }
    }
}

async fn connection(stream: tokio::net::TcpStream, shared: Arc<Shared>) {
    let limits = shared.limits;
    let _ = stream.set_nodelay(true);
    let service = service_fn(move |request| answer::answer(Arc::clone(&shared), request));
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(limits.header)
        .max_buf_size(LARGEST_HEAD)
        .max_headers(MOST_HEADERS)
        .serve_connection(TokioIo::new(stream), service);
    let mut connection = pin!(connection);
    // A client that goes wrong is its own trouble: nothing is told of it.
    if tokio::time::timeout(limits.life, connection.as_mut()).await.is_err() {
        connection.as_mut().graceful_shutdown();
        let _ = tokio::time::timeout(limits.life, connection).await;
    }
}

/// 128 random bits in hexadecimal digits.
fn token() -> io::Result<String> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).map_err(|e| io::Error::other(format!("no random numbers to be had: {e}")))?;
    Ok(bytes.iter().map(|b| format!("{b:02x}")).collect())
}
