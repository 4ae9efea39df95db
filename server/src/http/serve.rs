//! Starts the service and lets it end without cutting anyone off.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinSet;

use super::observe::Metrics;
use super::who::Access;
use super::{Service, demo, router};
use crate::apart::Rooms;
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::Limits;
use crate::queue::{Queue, worker};
use crate::store::{Places, Store};

/// Data sets unpacked at once.
const INTAKE: usize = 2;
/// Checks a process works on at once, unless told.
pub const WORKERS: usize = 2;

/// How a service is set up.
#[derive(Clone, Debug)]
pub struct Setup {
    /// Where it listens.
    pub listen: String,
    /// Where things are kept.
    pub places: Places,
    /// A folder of demo boards.
    pub demo: Option<PathBuf>,
    /// Bounds on what is sent.
    pub limits: Limits,
    /// Whether data may be sent without an account.
    pub open_uploads: bool,
    /// Where people reach the service, such as `https://queries.example`.
    pub public: Option<String>,
    /// Checks at work at once; none where other processes work.
    pub workers: usize,
    /// The program that does checks in processes apart.
    pub program: PathBuf,
}

impl Setup {
    /// A service with a data folder; everything else as usual.
    #[must_use]
    pub fn new(listen: &str, data: &Path) -> Self {
        Self {
            listen: listen.to_owned(),
            places: Places { data: data.to_owned(), ..Places::default() },
            demo: None,
            open_uploads: false,
            public: None,
            limits: Limits::default(),
            workers: WORKERS,
            program: own_program(),
        }
    }
}

/// This program, also after its file has been replaced by a newer one.
#[must_use]
pub fn own_program() -> PathBuf {
    let running = PathBuf::from("/proc/self/exe");
    if running.exists() { running } else { std::env::current_exe().unwrap_or_default() }
}

/// A service that listens but does not answer yet.
#[derive(Debug)]
pub struct Bound {
    listener: TcpListener,
    service: Service,
    workers: usize,
    close: watch::Sender<bool>,
}

/// Opens what is kept, takes in the demo boards, and binds the address.
pub async fn bind(setup: &Setup) -> Outcome<Bound> {
    let store = Store::open(&setup.places).await?;
    let demo = match setup.demo.as_deref() {
        Some(folder) => demo::take_in(&store, folder, setup.limits).await?,
        None => Vec::new(),
    };
    let listener = TcpListener::bind(&setup.listen)
        .await
        .map_err(|e| Fault::new(Kind::Usage, format!("--listen {}: {e}.", setup.listen)))?;
    let on_this_machine = listener.local_addr().is_ok_and(|a| a.ip().is_loopback()) && setup.public.is_none();
    let secure = setup.public.as_deref().is_some_and(|p| p.starts_with("https://"));
    let (close, closing) = watch::channel(false);
    let rooms = Rooms::new(setup.program.clone(), setup.limits);
    let service = Service {
        queue: Queue::new(store, setup.limits, rooms),
        limits: setup.limits,
        intake: Arc::new(Semaphore::new(INTAKE)),
        demo: Arc::new(demo),
        closing,
        access: Access::new(on_this_machine, setup.open_uploads, secure),
        metrics: Metrics::default(),
    };
    Ok(Bound { listener, service, workers: setup.workers, close })
}

impl Bound {
    /// The address it listens on.
    pub fn address(&self) -> Outcome<SocketAddr> {
        self.listener.local_addr().map_err(|e| Fault::storage("the listening socket", &e))
    }

    /// What the service keeps.
    #[must_use]
    pub const fn store(&self) -> &Store {
        &self.service.queue.store
    }

    /// Who is let in.
    #[must_use]
    pub const fn access(&self) -> &Access {
        &self.service.access
    }

    /// Answers until `end` comes; checks at work are then given back, for this or another process to begin again.
    pub async fn run(self, end: impl Future<Output = ()> + Send + 'static) -> Outcome<()> {
        let close = self.close;
        let workers = work(&self.service.queue, self.workers, &self.service.closing);
        let ending = async move {
            end.await;
            close.send_replace(true);
        };
        let queue = self.service.queue.clone();
        let app = router(self.service).into_make_service_with_connect_info::<SocketAddr>();
        let served = axum::serve(self.listener, app).with_graceful_shutdown(ending).await;
        workers.join_all().await;
        queue.store.db.close().await;
        served.map_err(|e| Fault::storage("the service", &e))
    }
}

/// Starts workers that end when `closing` turns true.
pub fn work(queue: &Queue, workers: usize, closing: &watch::Receiver<bool>) -> JoinSet<()> {
    let mut set = JoinSet::new();
    if workers > 0 {
        set.spawn(sweep(queue.clone(), closing.clone()));
    }
    for _ in 0..workers {
        set.spawn(worker::run(queue.clone(), closing.clone()));
    }
    set
}

/// Objects younger than this may still be on their way into a record.
const YOUNG: i64 = 24 * 3_600_000;

/// A measured board that was not asked for in this time is forgotten.
const UNUSED: Duration = Duration::from_secs(600);

/// Removes what ended processes left, and boards nobody asks for, now and then.
async fn sweep(queue: Queue, mut closing: watch::Receiver<bool>) {
    loop {
        tokio::select! {
            () = tokio::time::sleep(UNUSED) => {}
            _ = closing.wait_for(|c| *c) => return,
        }
        queue.rooms.forget_unused(UNUSED);
        match queue.store.sweep(YOUNG).await {
            Ok(0) => {}
            Ok(removed) => tracing::info!(removed, "objects that no record names were removed"),
            Err(fault) => tracing::warn!("objects could not be looked through: {}", fault.detail),
        }
    }
}

/// Comes when the process is asked to end.
pub async fn asked_to_end() {
    let interrupt = async { drop(tokio::signal::ctrl_c().await) };
    #[cfg(unix)]
    let terminate = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => drop(signal.recv().await),
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let terminate = std::future::pending::<()>();
    tokio::select! { () = interrupt => {}, () = terminate => {} }
}
