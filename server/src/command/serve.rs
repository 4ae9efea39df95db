//! `landgap serve` and `landgap work`.

use std::io::Write;
use std::path::PathBuf;

use tokio::sync::watch;
use tracing_subscriber::EnvFilter;

use super::args::{Kept, Serve, Work};
use crate::apart::Rooms;
use crate::fault::{Fault, Kind, Outcome};
use crate::http::serve::{self, Bound, Setup, asked_to_end, bind, own_program};
use crate::intake::Limits;
use crate::queue::Queue;
use crate::store::{Places, Store};

impl Kept {
    /// The places these arguments name.
    pub fn places(&self) -> Outcome<Places> {
        let data = self.data.clone().map_or_else(usual_folder, Ok)?;
        Ok(Places { data, database: self.database.clone(), objects: self.objects.clone() })
    }
}

/// The user's folder for data (XDG base directories, section "environment variables").
fn usual_folder() -> Outcome<PathBuf> {
    let absolute = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let folder = absolute("XDG_DATA_HOME").or_else(|| Some(absolute("HOME")?.join(".local/share")));
    let folder = folder.ok_or_else(|| Fault::new(Kind::Usage, "There is no home folder; name one with --data."))?;
    Ok(folder.join("landgap"))
}

fn log() {
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new("info"));
    let _ = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).try_init();
}

/// Runs the service until it is asked to end.
pub async fn run(serve: &Serve) -> Outcome<u8> {
    log();
    let setup = Setup {
        listen: serve.listen.clone(),
        places: serve.kept.places()?,
        demo: serve.demo.clone(),
        open_uploads: serve.open_uploads,
        public: serve.public.clone(),
        limits: Limits::with(&serve.limit)?,
        workers: serve.workers,
        program: own_program(),
    };
    let bound = bind(&setup).await?;
    let address = format!("http://{}", bound.address()?);
    let public = setup.public.as_deref().unwrap_or(&address);
    say(&format!("Landgap answers on {address}\n{}{}", places(&setup.places), access(&bound, public).await?));
    bound.run(asked_to_end()).await?;
    Ok(0)
}

/// Tells whoever started the service; that nobody listens any more is no reason to end.
fn say(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Where things are kept.
fn places(places: &Places) -> String {
    let data = places.data.display();
    let kept = match (&places.database, &places.objects) {
        (None, None) => format!("Everything is kept in {data}"),
        (None, Some(objects)) => format!("Records are kept in {data}, data sets and reports in {objects}"),
        (Some(_), None) => format!("Records are kept in PostgreSQL, data sets and reports in {data}"),
        (Some(_), Some(objects)) => format!("Records are kept in PostgreSQL, data sets and reports in {objects}"),
    };
    format!(
        "  {kept}\n  Back it up:  landgap backup FILE   (with the same --data, --database and --objects; while it runs)\n"
    )
}

/// Who is let in, and how the first administrator is made.
async fn access(bound: &Bound, public: &str) -> Outcome<String> {
    let (access, store) = (bound.access(), bound.store());
    if access.has_people(store).await? {
        return Ok(String::new());
    }
    let now = if access.is_trial(store).await? {
        "On trial: without an administrator, anyone on this machine may do everything."
    } else {
        "Nobody is let in before there is an administrator."
    };
    let key = store.first_key().await?;
    Ok(format!(
        "  {now}\n  First administrator:  {public}/first?key={key}   (once, until the next start)\n\
         \x20              or else  landgap admin create --login LOGIN\n"
    ))
}

/// Works on checks until it is asked to end.
pub async fn work(work: &Work) -> Outcome<u8> {
    log();
    let limits = Limits::with(&work.limit)?;
    let store = Store::open(&work.kept.places()?).await?;
    let queue = Queue::new(store, limits, Rooms::new(own_program(), limits));
    let (close, closing) = watch::channel(false);
    let workers = serve::work(&queue, work.workers.max(1), &closing);
    say("Landgap works on checks\n");
    asked_to_end().await;
    close.send_replace(true);
    workers.join_all().await;
    queue.store.db.close().await;
    Ok(0)
}
