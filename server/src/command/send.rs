//! `landgap send`: the same check on a service elsewhere.

use std::time::Duration;

use reqwest::header::{AUTHORIZATION, HeaderMap, HeaderValue};
use reqwest::multipart::{Form, Part};
use reqwest::{Client, RequestBuilder, Response};
use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::args::{Format, How, Send};
use super::{check, output};
use crate::fault::{Fault, Kind, Outcome, Problem};
use crate::http::data_sets::REFUSED;
use crate::intake::{self, DataSet, Limits};
use crate::job::request::{CapabilityChoice, CheckRequest, OrderChoice};
use crate::job::{Progress, State};
use crate::print::json::pretty;
use crate::profile;
use crate::terms::{self, TermsSent};
use crate::wire::Report;

/// How long to wait between two questions.
const PAUSE: Duration = Duration::from_millis(250);

#[derive(Deserialize)]
struct Named {
    id: String,
}

#[derive(Deserialize)]
struct Check {
    id: String,
    #[serde(flatten)]
    progress: Progress,
}

/// Sends, waits, prints, and gives the exit code.
pub async fn run(send: &Send) -> Outcome<u8> {
    let how = &send.how;
    output::expect_possible(how)?;
    if how.format == Format::Pdf {
        return Err(Fault::new(
            Kind::Usage,
            "A PDF is made by `landgap check`; `send` gives the form as --format html.",
        ));
    }
    // What is wrong here is told here, before anything is sent.
    let capabilities = check::capabilities(how)?;
    check::order(how)?;
    terms::of(&check::terms_sent(how)?, how.on.as_deref())?;
    if how.on.is_some() {
        return Err(Fault::new(Kind::Usage, "--on is the service's own day when data are sent; leave it out."));
    }
    let set = intake::from_paths(&how.data, Limits::with(&how.limit)?)?;
    let service = Service::at(&send.to, send.token.as_deref())?;
    let id = service.upload(&set).await?;
    let mut reports = Vec::new();
    let mut form = String::new();
    for capability in &capabilities {
        let check = service.check(&request(how, &id, &capability.text)?).await?;
        let report: Report = read(service.get(&format!("/api/checks/{check}/report"))).await?;
        if how.format == Format::Html {
            form = text(answer(service.get(&format!("/api/checks/{check}/form"))).await?).await?;
        }
        reports.push(report);
    }
    let printed = output::printed(&reports, &capabilities, how)?.unwrap_or_else(|| form.into_bytes());
    output::finish(&printed, &reports, how)
}

fn request(how: &How, data_set: &str, capability: &str) -> Outcome<CheckRequest> {
    let order = how.order.as_ref().map(|path| profile::read(path, Kind::BadOrder)).transpose()?;
    Ok(CheckRequest {
        data_set: data_set.to_owned(),
        capability: Some(CapabilityChoice::Text { toml: capability.to_owned() }),
        order: order.map(|toml| OrderChoice::Text { toml }),
        told: Some(check::sayings(how.told.as_deref())?),
        terms: Some(check::terms_sent(how)?).filter(|t| *t != TermsSent::default()),
    })
}

/// A service elsewhere.
struct Service {
    client: Client,
    base: String,
}

impl Service {
    fn at(url: &str, token: Option<&str>) -> Outcome<Self> {
        let base = url.trim_end_matches('/').to_owned();
        if !(base.starts_with("http://") || base.starts_with("https://")) {
            return Err(Fault::new(
                Kind::Usage,
                format!("--to {url}: expected an address that begins with http:// or https://."),
            ));
        }
        // Fails only where a provider is set already, which serves as well.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let mut headers = HeaderMap::new();
        if let Some(token) = token {
            let mut value = HeaderValue::try_from(format!("Bearer {token}"))
                .map_err(|_| Fault::new(Kind::Usage, "--token: expected the token as it was shown."))?;
            value.set_sensitive(true);
            headers.insert(AUTHORIZATION, value);
        }
        let client = Client::builder().connect_timeout(Duration::from_secs(10)).default_headers(headers).build();
        let client = client.map_err(|e| unreachable(&e))?;
        Ok(Self { client, base })
    }

    fn get(&self, path: &str) -> RequestBuilder {
        self.client.get(format!("{}{path}", self.base))
    }

    async fn upload(&self, set: &DataSet) -> Outcome<String> {
        let mut form = Form::new();
        for file in &set.files {
            form = form.part("files", Part::bytes(file.bytes.clone()).file_name(file.path.clone()));
        }
        if !set.refused.is_empty() {
            form = form.text(REFUSED, pretty(&set.refused)?);
        }
        eprintln!("sending {} files", set.files.len());
        let named: Named = read(self.client.post(format!("{}/api/data-sets", self.base)).multipart(form)).await?;
        Ok(named.id)
    }

    /// Begins a check and waits for its end.
    async fn check(&self, request: &CheckRequest) -> Outcome<String> {
        let mut check: Check = read(self.client.post(format!("{}/api/checks", self.base)).json(request)).await?;
        eprintln!("checking");
        loop {
            match check.progress.state {
                State::Done => return Ok(check.id),
                State::Failed | State::Cancelled => {
                    let problem = check.progress.problem.map(Problem::into_fault);
                    return Err(problem
                        .unwrap_or_else(|| Fault::new(Kind::Cancelled, "The check was cancelled at the service.")));
                }
                State::Queued | State::Running => tokio::time::sleep(PAUSE).await,
            }
            check = read(self.get(&format!("/api/checks/{}", check.id))).await?;
        }
    }
}

async fn answer(request: RequestBuilder) -> Outcome<Response> {
    let response = request.send().await.map_err(|e| unreachable(&e))?;
    if response.status().is_success() {
        return Ok(response);
    }
    let status = response.status();
    let body = text(response).await?;
    Err(serde_json::from_str::<Problem>(&body)
        .map_or_else(|_| Fault::new(Kind::Unreachable, format!("It answered {status}.")), Problem::into_fault))
}

async fn read<T: DeserializeOwned>(request: RequestBuilder) -> Outcome<T> {
    let body = text(answer(request).await?).await?;
    serde_json::from_str(&body)
        .map_err(|e| Fault::new(Kind::Unreachable, format!("Its answer is not as expected: {e}.")))
}

async fn text(response: Response) -> Outcome<String> {
    response.text().await.map_err(|e| unreachable(&e))
}

fn unreachable(error: &reqwest::Error) -> Fault {
    let mut words = error.to_string();
    let mut cause = std::error::Error::source(error);
    while let Some(deeper) = cause {
        words += &format!(": {deeper}");
        cause = deeper.source();
    }
    Fault::new(Kind::Unreachable, format!("{words}."))
}
