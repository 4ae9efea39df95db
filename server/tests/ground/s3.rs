//! Objects in S3-compatible storage: a server from the Python package `moto`, where that is on the machine.

use std::process::{Child, Command, Stdio};
use std::time::Duration;

use crate::support::Ground;

struct Server(Child);

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn server(port: u16) -> Option<Server> {
    let has = Command::new("python3").args(["-c", "import moto.server"]).stderr(Stdio::null()).status();
    if !has.is_ok_and(|s| s.success()) {
        println!("skipped on S3: the Python package moto with its server is not on this machine");
        return None;
    }
    let child = Command::new("python3")
        .args(["-m", "moto.server", "-H", "127.0.0.1", "-p", &port.to_string()])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    Some(Server(child))
}

#[test]
fn a_journey_on_s3_compatible_storage() {
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let Some(_server) = server(port) else { return };
    let ground = Ground::sqlite("s3");
    // The service is a process of its own: where the storage is stands in its variables.
    let endpoint = format!("http://127.0.0.1:{port}");
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let client = crate::support::client();
        let mut made = false;
        for _ in 0..300 {
            made = client.put(format!("{endpoint}/boards")).send().await.is_ok_and(|r| r.status().is_success());
            if made {
                break;
            }
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
        assert!(made, "the storage takes a bucket");
        let mut serve = Command::new(crate::support::program())
            .args(["serve", "--listen", "127.0.0.1:0", "--objects", "s3://boards/landgap"])
            .args(ground.arguments())
            .envs([
                ("AWS_ACCESS_KEY_ID", "test"),
                ("AWS_SECRET_ACCESS_KEY", "test"),
                ("AWS_REGION", "us-east-1"),
                ("AWS_ALLOW_HTTP", "true"),
                ("AWS_ENDPOINT", &endpoint),
            ])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        std::io::BufRead::read_line(&mut std::io::BufReader::new(serve.stdout.take().unwrap()), &mut line).unwrap();
        let base = line.trim().rsplit(' ').next().unwrap_or_default().to_owned();
        let asks = crate::support::Asks { base, client, token: None };
        let set = asks.upload().await;
        let check = asks.begin(&set, 1).await;
        asks.done(&check).await;
        assert_eq!(asks.json(&format!("{check}/report")).await["data"]["id"], set);
        assert_eq!(asks.get(&format!("{check}/figures/1.svg")).await.status(), 200, "a stretch of an object");
        let erased = asks.request(reqwest::Method::DELETE, &format!("/api/data-sets/{set}")).send().await.unwrap();
        assert_eq!(erased.status(), 200);
        let listed =
            asks.client.get(format!("{endpoint}/boards?list-type=2")).send().await.unwrap().text().await.unwrap();
        assert!(!listed.contains("<Key>landgap/"), "nothing is left: {listed}");
        assert!(!ground.folder.0.join("objects").exists(), "nothing lies in the folder");
        let _ = serve.kill();
        let _ = serve.wait();
    });
}
