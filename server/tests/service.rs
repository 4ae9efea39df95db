//! The service over real sockets: hostile and broken uploads, and the whole journey of one board.

mod small_board;

use std::path::Path;
use std::time::Duration;

use landgap_server::http::serve::{Setup, bind};
use landgap_server::intake::Limits;
use reqwest::multipart::{Form, Part};
use reqwest::{Client, Method, Response, StatusCode};
use serde_json::{Value, json};
use small_board::{Folder, GAP_UM};
use tokio::sync::oneshot;

struct Running {
    base: String,
    client: Client,
    end: Option<oneshot::Sender<()>>,
    task: tokio::task::JoinHandle<()>,
}

async fn service(data: &Path, limits: Limits) -> Running {
    let _ = rustls::crypto::ring::default_provider().install_default();
    let program = env!("CARGO_BIN_EXE_landgap").into();
    let setup = Setup { limits, program, ..Setup::new("127.0.0.1:0", data) };
    let bound = bind(&setup).await.unwrap();
    let base = format!("http://{}", bound.address().unwrap());
    let (end, ended) = oneshot::channel::<()>();
    let task = tokio::spawn(async move { bound.run(async { drop(ended.await) }).await.unwrap() });
    Running { base, client: Client::builder().timeout(Duration::from_secs(120)).build().unwrap(), end: Some(end), task }
}

impl Running {
    async fn get(&self, path: &str) -> Response {
        self.client.get(format!("{}{path}", self.base)).send().await.unwrap()
    }

    async fn json(&self, path: &str) -> Value {
        let response = self.get(path).await;
        assert_eq!(response.status(), 200, "{path}");
        response.json().await.unwrap()
    }

    async fn post(&self, path: &str, body: &Value) -> Response {
        self.client.post(format!("{}{path}", self.base)).json(body).send().await.unwrap()
    }

    async fn upload(&self, files: Vec<(&str, Vec<u8>)>) -> Response {
        let part = |(name, bytes): (&str, Vec<u8>)| Part::bytes(bytes).file_name(name.to_owned());
        let form = files.into_iter().map(part).fold(Form::new(), |form, part| form.part("files", part));
        self.client.post(format!("{}/api/data-sets", self.base)).multipart(form).send().await.unwrap()
    }

    async fn upload_board(&self) -> String {
        let response = self.upload(vec![("board.zip", small_board::zip())]).await;
        assert_eq!(response.status(), StatusCode::CREATED);
        let set: Value = response.json().await.unwrap();
        set["id"].as_str().unwrap().to_owned()
    }

    async fn begin(&self, body: &Value) -> String {
        let response = self.post("/api/checks", body).await;
        assert_eq!(response.status(), StatusCode::ACCEPTED);
        let location = response.headers()["location"].to_str().unwrap().to_owned();
        let check: Value = response.json().await.unwrap();
        assert_eq!(location, format!("/api/checks/{}", check["id"].as_str().unwrap()));
        location
    }

    /// Reads the events of a check to their end.
    async fn events(&self, check: &str) -> String {
        let response = self.get(&format!("{check}/events")).await;
        assert!(response.headers()["content-type"].to_str().unwrap().starts_with("text/event-stream"));
        response.text().await.unwrap()
    }

    async fn stop(mut self) {
        self.end.take().unwrap().send(()).unwrap();
        tokio::time::timeout(Duration::from_secs(20), self.task).await.expect("it ends when asked").unwrap();
    }
}

async fn problem(response: Response, status: u16, names: &str) -> Value {
    assert_eq!(response.status(), status);
    assert_eq!(response.headers()["content-type"], "application/problem+json");
    let problem: Value = response.json().await.unwrap();
    assert_eq!(problem["status"], status);
    for member in ["type", "title", "detail", "advice"] {
        assert!(!problem[member].as_str().unwrap().is_empty(), "{member}: {problem}");
    }
    assert!(problem["detail"].as_str().unwrap().contains(names), "{problem}");
    problem
}

/// Objects below the data folder.
fn stored(data: &Path) -> Vec<String> {
    files(&data.join("objects"))
}

/// What has been received and not yet taken in; each process has a folder with a lock of its own.
fn unfinished(data: &Path) -> usize {
    let processes = std::fs::read_dir(data.join("unfinished")).unwrap();
    processes.map(|p| std::fs::read_dir(p.unwrap().path()).unwrap().count() - 1).sum()
}

fn files(folder: &Path) -> Vec<String> {
    let mut list = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() { list.extend(files(&path)) } else { list.push(path.display().to_string()) }
    }
    list
}

#[tokio::test]
async fn broken_data_are_named_and_leave_nothing_behind() {
    let folder = Folder::new("broken");
    let service = service(&folder.0, Limits::default()).await;
    let cut = small_board::zip()[..500].to_vec();
    problem(service.upload(vec![("board.zip", cut)]).await, 422, "board.zip").await;
    problem(service.upload(vec![]).await, 422, "No file").await;
    problem(service.upload(vec![("letter.gbr", b"Dear shop,\nsee the board.\n".to_vec())]).await, 422, "letter.gbr")
        .await;
    problem(service.upload(vec![("holes.drl", Vec::new())]).await, 422, "holes.drl").await;
    problem(service.upload(vec![("board.7z", b"7z\xBC\xAF\x27\x1C\0\x04".to_vec())]).await, 415, "7z").await;
    let not_a_form = service.client.post(format!("{}/api/data-sets", service.base)).body("x").send().await.unwrap();
    problem(not_a_form, 400, "").await;
    assert_eq!(stored(&folder.0), Vec::<String>::new());
    assert_eq!(unfinished(&folder.0), 0);
    assert_eq!(service.get("/livez").await.status(), 200);
    assert_eq!(service.get("/readyz").await.status(), 200);
    service.upload_board().await;
    service.stop().await;
}

#[tokio::test]
async fn an_upload_that_breaks_off_leaves_nothing_behind() {
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    let folder = Folder::new("cut-off");
    let service = service(&folder.0, Limits::default()).await;
    let address = service.base.strip_prefix("http://").unwrap().to_owned();
    let mut socket = tokio::net::TcpStream::connect(&address).await.unwrap();
    let head = format!(
        "POST /api/data-sets HTTP/1.1\r\nHost: {address}\r\nContent-Type: multipart/form-data; boundary=b\r\nContent-Length: 100000\r\n\r\n\
         --b\r\nContent-Disposition: form-data; name=\"files\"; filename=\"top.gbr\"\r\n\r\n%FSLAX46Y46*%"
    );
    socket.write_all(head.as_bytes()).await.unwrap();
    socket.shutdown().await.unwrap();
    let mut answer = Vec::new();
    let _ = tokio::time::timeout(Duration::from_secs(5), socket.read_to_end(&mut answer)).await;
    drop(socket);
    for _ in 0..50 {
        if unfinished(&folder.0) == 0 {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    assert_eq!(unfinished(&folder.0), 0);
    assert_eq!(stored(&folder.0), Vec::<String>::new());
    assert_eq!(service.get("/livez").await.status(), 200);
    service.stop().await;
}

#[tokio::test]
async fn too_much_is_refused() {
    let folder = Folder::new("large");
    let limits = Limits { packed: 1 << 20, unpacked: 2 << 20, ..Limits::default() };
    let service = service(&folder.0, limits).await;
    problem(service.upload(vec![("top.gbr", vec![b'G'; 3 << 19])]).await, 413, "").await;
    assert_eq!(stored(&folder.0), Vec::<String>::new());
    service.stop().await;
}

#[tokio::test]
async fn a_board_goes_all_the_way() {
    let folder = Folder::new("journey");
    let running = service(&folder.0, Limits::default()).await;
    let set = running.upload_board().await;
    assert_eq!(running.upload_board().await, set, "kept by content");
    assert_eq!(running.json(&format!("/api/data-sets/{set}")).await["files"].as_array().unwrap().len(), 6);
    let request =
        json!({ "data_set": set, "capability": "standard", "order": { "thickness_um": 1600, "finish": null } });
    let check = running.begin(&request).await;
    let events = running.events(&check).await;
    assert!(events.contains("event: done"), "{events}");
    assert_eq!(running.json(&check).await["state"], "done");

    let report = running.json(&format!("{check}/report")).await;
    let query = report["queries"].as_array().unwrap().iter().find(|q| q["rule"] == "tight-gap").unwrap();
    assert!((query["measured_um"].as_f64().unwrap() - GAP_UM).abs() <= 0.5);
    assert_eq!(report["data"]["id"], set);
    let number = &query["number"];
    let figure = running.get(&format!("{check}/figures/{number}.svg")).await;
    assert_eq!(figure.headers()["content-type"], "image/svg+xml");
    let figure = figure.text().await.unwrap();
    assert!(figure.contains("0.060 mm measured / 0.") && figure.contains("-a)\""), "dimension and hatching: {figure}");
    for side in ["top", "bottom"] {
        let picture = running.get(&format!("{check}/board.svg?side={side}")).await.text().await.unwrap();
        assert!(picture.starts_with("<svg") && picture.ends_with("</svg>\n"));
    }
    let form = running.get(&format!("{check}/form")).await.text().await.unwrap();
    assert!(
        form.contains("class=\"box\"") && form.contains("@page") && form.contains(query["title"].as_str().unwrap())
    );

    problem(running.get(&format!("{check}/figures/99.svg")).await, 404, "99").await;
    problem(running.get(&format!("{check}/board.svg?side=left")).await, 400, "left").await;
    judged_again(&running, &check, &report).await;
    running.stop().await;

    // A restart finds what was finished.
    let again = service(&folder.0, Limits::default()).await;
    assert_eq!(again.begin(&request).await, check);
    assert_eq!(again.json(&format!("{check}/report")).await, report);
    assert!(again.events(&check).await.contains("event: done"));
    let judged = again.post(&format!("{check}/judge"), &json!({ "capability": "advanced" })).await;
    assert_eq!(judged.status(), 200);
    again.stop().await;
}

async fn judged_again(running: &Running, check: &str, report: &Value) {
    let response = running.post(&format!("{check}/judge"), &json!({ "capability": "advanced", "order": {} })).await;
    assert_eq!(response.status(), 200);
    let judged: Value = response.json().await.unwrap();
    assert_eq!(judged["capability"]["name"], "advanced");
    assert_eq!(judged["measured"], report["measured"], "facts do not depend on the profile");
    let other = format!("/api/checks/{}", judged["id"].as_str().unwrap());
    assert_ne!(other, check);
    assert_eq!(running.json(&format!("{other}/report")).await["queries"], judged["queries"]);
    assert_eq!(running.get(&format!("{other}/form")).await.status(), 200);
    let wrong = running.post(&format!("{check}/judge"), &json!({ "capability": "none-such" })).await;
    problem(wrong, 422, "none-such").await;
}

#[tokio::test]
async fn the_report_over_http_is_that_of_the_command_line() {
    let folder = Folder::new("parity");
    let board = Folder::new("parity-board").with_board();
    let service = service(&folder.0, Limits::default()).await;
    let run = |arguments: Vec<String>| async move {
        let binary = env!("CARGO_BIN_EXE_landgap");
        tokio::task::spawn_blocking(move || std::process::Command::new(binary).args(arguments).output().unwrap())
            .await
            .unwrap()
    };
    let data = board.0.display().to_string();
    for format in ["json", "text", "html"] {
        let here = run(["check", &data, "--format", format].map(str::to_owned).to_vec()).await;
        let there = run(["send", &data, "--format", format, "--to", &service.base].map(str::to_owned).to_vec()).await;
        assert_eq!(String::from_utf8_lossy(&here.stdout), String::from_utf8_lossy(&there.stdout), "{format}");
        assert_eq!(here.status.code(), there.status.code(), "{format}");
    }
    let nobody = run(["send", &data, "--to", "http://127.0.0.1:9"].map(str::to_owned).to_vec()).await;
    assert_eq!(nobody.status.code(), Some(4));
    service.stop().await;
}

#[tokio::test]
async fn wrong_requests_are_problems() {
    let folder = Folder::new("wrong");
    let service = service(&folder.0, Limits::default()).await;
    let set = service.upload_board().await;
    let none = format!("sha256:{}", "0".repeat(64));
    problem(service.post("/api/checks", &json!({ "data_set": none })).await, 404, &none).await;
    problem(service.post("/api/checks", &json!({ "data_set": "../../etc" })).await, 404, "../../etc").await;
    problem(service.post("/api/checks", &json!({ "data": set })).await, 400, "data").await;
    problem(service.post("/api/checks", &json!({ "data_set": set, "capability": "x" })).await, 422, "\"x\"").await;
    problem(service.post("/api/checks", &json!({ "data_set": set, "order": { "class": 9 } })).await, 422, "class")
        .await;
    problem(
        service.post("/api/checks", &json!({ "data_set": set, "told": { "a.gbr": "outline" } })).await,
        422,
        "a.gbr",
    )
    .await;
    problem(service.get(&format!("/api/checks/{}", "0".repeat(32))).await, 404, "").await;
    problem(service.get("/api/none-such").await, 404, "none-such").await;
    let put = service.client.request(Method::PUT, format!("{}/api/checks", service.base)).send().await.unwrap();
    problem(put, 405, "").await;
    let foreign = service
        .client
        .post(format!("{}/api/checks", service.base))
        .header("sec-fetch-site", "cross-site")
        .send()
        .await
        .unwrap();
    problem(foreign, 403, "another site").await;
    service.stop().await;
}

#[tokio::test]
async fn the_document_names_every_address_that_answers() {
    let folder = Folder::new("openapi");
    let service = service(&folder.0, Limits::default()).await;
    let document = service.json("/api/openapi.json").await;
    assert_eq!(document["openapi"], "3.1.0");
    for (path, methods) in document["paths"].as_object().unwrap() {
        let filled = path
            .replace("{id}", &"0".repeat(32))
            .replace("{figure}", "1.svg")
            .replace("{slug}", "busy")
            .replace("{number}", "1");
        for method in methods.as_object().unwrap().keys() {
            let method = Method::from_bytes(method.to_uppercase().as_bytes()).unwrap();
            let response =
                service.client.request(method.clone(), format!("{}{filled}", service.base)).send().await.unwrap();
            let status = response.status().as_u16().to_string();
            assert!(
                methods[method.as_str().to_lowercase()]["responses"].get(&status).is_some(),
                "{method} {path}: {status} is not documented"
            );
            assert_ne!(status, "405", "{method} {path}");
        }
    }
    let schema = service.json("/api/report.schema.json").await;
    assert_eq!(schema["properties"]["report"]["const"], 1);
    service.stop().await;
}

#[tokio::test]
async fn the_page_the_catalogue_and_the_headers_are_there() {
    let folder = Folder::new("page");
    let service = service(&folder.0, Limits::default()).await;
    let page = service.get("/").await;
    assert_eq!(page.headers()["x-content-type-options"], "nosniff");
    assert!(page.headers()["content-security-policy"].to_str().unwrap().contains("default-src 'self'"));
    assert!(page.text().await.unwrap().to_lowercase().contains("<!doctype html>"));
    problem(service.get("/no-such-file.js").await, 404, "no-such-file").await;
    let rules = service.json("/api/rules").await;
    assert!(
        rules.as_array().unwrap().iter().any(|r| r["name"] == "tight-gap" && r["page"].as_str().unwrap().len() > 100)
    );
    let recognisers = service.json("/api/recognisers").await;
    let relief =
        recognisers.as_array().unwrap().iter().find(|r| r["name"] == "relief").expect("reliefs are recognised");
    assert_eq!(relief["finds"], serde_json::json!(["relief"]));
    assert!(relief["page"].as_str().unwrap().starts_with("# relief"));
    let capabilities = service.json("/api/capabilities").await;
    let names: Vec<&str> = capabilities.as_array().unwrap().iter().map(|c| c["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["standard", "advanced"]);
    for kind in service.json("/api/problems").await.as_array().unwrap() {
        assert_eq!(service.json(kind["type"].as_str().unwrap()).await, *kind);
    }
    service.stop().await;
}
