//! `landgap serve`.

use std::path::PathBuf;

use tracing_subscriber::EnvFilter;

use super::args::Serve;
use crate::fault::Outcome;
use crate::http::serve::{Setup, asked_to_end, bind};
use crate::intake::Limits;

/// A passing data folder, removed at the end.
struct Passing(Option<PathBuf>);

impl Drop for Passing {
    fn drop(&mut self) {
        if let Some(path) = &self.0 {
            let _ = std::fs::remove_dir_all(path);
        }
    }
}

/// Runs the service until it is asked to end.
pub async fn run(serve: &Serve) -> Outcome<u8> {
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new("info"));
    let _ = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).try_init();
    let passing =
        Passing(serve.data.is_none().then(|| std::env::temp_dir().join(format!("landgap-{}", std::process::id()))));
    let data = serve.data.clone().or_else(|| passing.0.clone()).unwrap_or_default();
    let limits = Limits::with(&serve.limit)?;
    let setup = Setup { listen: serve.listen.clone(), data, demo: serve.demo.clone(), limits };
    let bound = bind(&setup).await?;
    println!("Landgap answers on http://{}", bound.address()?);
    bound.run(asked_to_end()).await?;
    Ok(0)
}
