//! Starts the service and lets it end without cutting anyone off.

use std::future::Future;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};

use super::{Service, demo, router};
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::Limits;
use crate::job::{Desk, Store};

/// Data sets unpacked at once.
const INTAKE: usize = 2;

/// How a service is set up.
#[derive(Clone, Debug)]
pub struct Setup {
    /// Where it listens.
    pub listen: String,
    /// Its data folder.
    pub data: PathBuf,
    /// A folder of demo boards.
    pub demo: Option<PathBuf>,
    /// Bounds on what is sent.
    pub limits: Limits,
}

/// A service that listens but does not answer yet.
#[derive(Debug)]
pub struct Bound {
    listener: TcpListener,
    service: Service,
    close: watch::Sender<bool>,
}

/// Opens the data folder, takes in the demo boards, and binds the address.
pub async fn bind(setup: &Setup) -> Outcome<Bound> {
    let store = Store::open(&setup.data)?;
    let demo =
        setup.demo.as_deref().map_or_else(|| Ok(Vec::new()), |f: &Path| demo::take_in(&store, f, setup.limits))?;
    let listener = TcpListener::bind(&setup.listen)
        .await
        .map_err(|e| Fault::new(Kind::Usage, format!("--listen {}: {e}.", setup.listen)))?;
    let (close, closing) = watch::channel(false);
    let service = Service {
        desk: Desk::new(store, setup.limits.reading),
        limits: setup.limits,
        intake: Arc::new(Semaphore::new(INTAKE)),
        demo: Arc::new(demo),
        closing,
    };
    Ok(Bound { listener, service, close })
}

impl Bound {
    /// The address it listens on.
    pub fn address(&self) -> Outcome<SocketAddr> {
        self.listener.local_addr().map_err(|e| Fault::storage("the listening socket", &e))
    }

    /// Answers until `end` comes; running checks are then asked to leave off.
    pub async fn run(self, end: impl Future<Output = ()> + Send + 'static) -> Outcome<()> {
        let desk = Arc::clone(&self.service.desk);
        let close = self.close;
        let ending = async move {
            end.await;
            desk.cancel_all();
            close.send_replace(true);
        };
        axum::serve(self.listener, router(self.service))
            .with_graceful_shutdown(ending)
            .await
            .map_err(|e| Fault::storage("the service", &e))
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
