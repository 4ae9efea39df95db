//! A service of this process, and what the scenarios ask of it.

use std::path::PathBuf;
use std::time::Duration;

use landgap_server::http::serve::{Setup, bind};
use landgap_server::store::{Places, Store};
use reqwest::multipart::{Form, Part};
use reqwest::{Client, Method, RequestBuilder, Response};
use serde_json::{Value, json};
use tokio::sync::oneshot;

use crate::small_board::{self, Folder};

/// The program under test.
pub fn program() -> PathBuf {
    env!("CARGO_BIN_EXE_landgap").into()
}

/// Where a scenario keeps things.
pub struct Ground {
    pub folder: Folder,
    pub places: Places,
}

impl Ground {
    pub fn sqlite(name: &str) -> Self {
        let folder = Folder::new(&format!("ground-{name}"));
        let places = Places { data: folder.0.clone(), ..Places::default() };
        Self { folder, places }
    }

    pub async fn postgres(name: &str) -> Option<Self> {
        let database = crate::postgres::database(name).await?;
        let ground = Self::sqlite(&format!("pg-{name}"));
        Some(Self { places: Places { database: Some(database), ..ground.places }, folder: ground.folder })
    }

    pub fn setup(&self) -> Setup {
        Setup { places: self.places.clone(), program: program(), ..Setup::new("127.0.0.1:0", &self.folder.0) }
    }

    pub async fn store(&self) -> Store {
        Store::open(&self.places).await.unwrap()
    }

    pub async fn service(&self) -> Running {
        Running::of(self.setup()).await
    }

    /// The arguments of the command line that lead to this ground.
    pub fn arguments(&self) -> Vec<String> {
        let mut list = vec!["--data".to_owned(), self.folder.0.display().to_string()];
        list.extend(self.places.database.iter().flat_map(|d| ["--database".to_owned(), d.clone()]));
        list.extend(self.places.objects.iter().flat_map(|o| ["--objects".to_owned(), o.clone()]));
        list
    }
}

/// A running service.
pub struct Running {
    pub base: String,
    pub client: Client,
    end: Option<oneshot::Sender<()>>,
    task: tokio::task::JoinHandle<()>,
}

impl Running {
    pub async fn of(setup: Setup) -> Self {
        let _ = rustls::crypto::ring::default_provider().install_default();
        let bound = bind(&setup).await.unwrap();
        let base = format!("http://{}", bound.address().unwrap());
        let (end, ended) = oneshot::channel::<()>();
        let task = tokio::spawn(async move { bound.run(async { drop(ended.await) }).await.unwrap() });
        Self { base, client: client(), end: Some(end), task }
    }

    pub fn asks(&self) -> Asks {
        Asks { base: self.base.clone(), client: self.client.clone(), token: None }
    }

    pub async fn stop(mut self) {
        self.end.take().unwrap().send(()).unwrap();
        tokio::time::timeout(Duration::from_secs(60), self.task).await.expect("it ends when asked").unwrap();
    }
}

pub fn client() -> Client {
    let _ = rustls::crypto::ring::default_provider().install_default();
    Client::builder().timeout(Duration::from_secs(300)).redirect(reqwest::redirect::Policy::none()).build().unwrap()
}

/// Someone who asks a service.
#[derive(Clone)]
pub struct Asks {
    pub base: String,
    pub client: Client,
    pub token: Option<String>,
}

impl Asks {
    /// The same service, with a session's cookie or a token as the header that carries it.
    pub fn with(&self, token: &str) -> Self {
        Self { token: Some(token.to_owned()), ..self.clone() }
    }

    pub fn request(&self, method: Method, path: &str) -> RequestBuilder {
        let request = self.client.request(method, format!("{}{path}", self.base));
        match &self.token {
            Some(cookie) if cookie.starts_with("landgap-session=") => request.header("cookie", cookie),
            Some(token) => request.bearer_auth(token),
            None => request,
        }
    }

    pub async fn get(&self, path: &str) -> Response {
        self.request(Method::GET, path).send().await.unwrap()
    }

    pub async fn post(&self, path: &str, body: &Value) -> Response {
        self.request(Method::POST, path).json(body).send().await.unwrap()
    }

    pub async fn json(&self, path: &str) -> Value {
        let response = self.get(path).await;
        let status = response.status();
        let text = response.text().await.unwrap();
        assert!(status.is_success(), "{path}: {status} {text}");
        serde_json::from_str(&text).unwrap()
    }

    /// Posts and expects something made or taken.
    pub async fn made(&self, path: &str, body: &Value) -> Value {
        let response = self.post(path, body).await;
        let status = response.status();
        let text = response.text().await.unwrap();
        assert!(matches!(status.as_u16(), 200..=202), "{path}: {status} {text}");
        serde_json::from_str(&text).unwrap()
    }

    pub async fn upload(&self) -> String {
        self.upload_with("").await
    }

    /// Uploads the small board with one more file, which makes the set another.
    pub async fn upload_with(&self, more: &str) -> String {
        let mut form = Form::new().part("files", Part::bytes(small_board::zip()).file_name("board.zip"));
        if !more.is_empty() {
            form = form.part("files", Part::bytes(more.as_bytes().to_vec()).file_name("note.txt"));
        }
        let response = self.request(Method::POST, "/api/data-sets").multipart(form).send().await.unwrap();
        let status = response.status();
        let text = response.text().await.unwrap();
        assert_eq!(status, 201, "{text}");
        serde_json::from_str::<Value>(&text).unwrap()["id"].as_str().unwrap().to_owned()
    }

    /// Begins a check and gives its address.
    pub async fn begin(&self, set: &str, quantity: usize) -> String {
        let check = self.made("/api/checks", &json!({ "data_set": set, "order": { "quantity": quantity } })).await;
        format!("/api/checks/{}", check["id"].as_str().unwrap())
    }

    /// Waits until a check has come to its end; gives its state.
    pub async fn ended(&self, check: &str) -> Value {
        for _ in 0..1200 {
            let shown = self.json(check).await;
            if matches!(shown["state"].as_str(), Some("done" | "failed" | "cancelled")) {
                return shown;
            }
            tokio::time::sleep(Duration::from_millis(250)).await;
        }
        panic!("{check} does not come to its end");
    }

    pub async fn done(&self, check: &str) {
        let shown = self.ended(check).await;
        assert_eq!(shown["state"], "done", "{shown}");
    }
}

pub const PASSWORD: &str = "a long enough password";

/// Signs in and gives the cookie.
pub async fn sign_in(asks: &Asks, login: &str) -> String {
    let response = asks.post("/api/session", &json!({ "login": login, "password": PASSWORD })).await;
    assert_eq!(response.status(), 200, "{login}");
    let cookie = response.headers()["set-cookie"].to_str().unwrap();
    cookie.split(';').next().unwrap().to_owned()
}

/// Makes an administrator beside the service, as the command does, and signs in.
pub async fn administrator(ground: &Ground, asks: &Asks) -> Asks {
    use landgap_server::people::Role;
    use landgap_server::people::accounts::NewPerson;
    let store = ground.store().await;
    let new = NewPerson {
        login: "admin".to_owned(),
        name: "Admin".to_owned(),
        role: Role::Administrator,
        customer_id: None,
        password: Some(PASSWORD.to_owned()),
    };
    store.make_person(new, "test").await.unwrap();
    store.db.close().await;
    asks.with(&sign_in(asks, "admin").await)
}

/// Makes a person of a role and signs in.
pub async fn person(admin: &Asks, login: &str, role: &str, customer: Option<&str>) -> Asks {
    let body = json!({ "login": login, "name": login, "role": role, "customer_id": customer, "password": PASSWORD });
    admin.made("/api/people", &body).await;
    let anyone = Asks { token: None, ..admin.clone() };
    anyone.with(&sign_in(&anyone, login).await)
}
