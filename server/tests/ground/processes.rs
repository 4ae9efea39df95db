//! Several processes on one database, ended by `kill -9` at random moments: nothing is lost, nothing is doubled.

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::json;
use sqlx::Row;

use crate::on_both;
use crate::support::{Asks, Ground, client, program};

on_both!(two_web_and_two_worker_processes_lose_nothing_when_killed);

/// Checks asked for, and processes killed meanwhile.
const CHECKS: usize = 40;
const KILLS: usize = 25;

struct Process {
    child: Child,
    base: String,
}

impl Process {
    fn new(ground: &Ground, arguments: &[&str]) -> Self {
        let mut child = Command::new(program())
            .args(arguments)
            .args(ground.arguments())
            .args(["--limit", "lease=2"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        Self { child, base: line.trim().rsplit(' ').next().unwrap_or_default().to_owned() }
    }

    fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

const WEB: [&str; 5] = ["serve", "--listen", "127.0.0.1:0", "--workers", "0"];
const WORK: [&str; 3] = ["work", "--workers", "1"];

/// Numbers that look random and are the same every time (a linear congruence; Knuth's MMIX constants).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % below
    }
}

/// Asks until one of the web processes answers: those that were killed are replaced meanwhile.
async fn begin(webs: &[Asks], set: &str, quantity: usize) -> String {
    let body = json!({ "data_set": set, "order": { "quantity": quantity } });
    for turn in 0..400 {
        let asks = &webs[(quantity + turn) % webs.len()];
        let sent = asks.request(reqwest::Method::POST, "/api/checks").json(&body).send().await;
        if let Ok(response) = sent
            && response.status() == 202
        {
            let check: serde_json::Value = response.json().await.unwrap();
            return check["id"].as_str().unwrap().to_owned();
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("no web process takes a check");
}

async fn two_web_and_two_worker_processes_lose_nothing_when_killed(ground: Ground) {
    // The tables are made before the processes meet.
    let store = ground.store().await;
    let webs: Vec<Process> = (0..2).map(|_| Process::new(&ground, &WEB)).collect();
    let mut workers: Vec<Process> = (0..2).map(|_| Process::new(&ground, &WORK)).collect();
    let asks: Vec<Asks> = webs.iter().map(|w| Asks { base: w.base.clone(), client: client(), token: None }).collect();
    let set = asks[0].upload().await;
    let mut dice = Dice(42);
    let mut ids = BTreeSet::new();
    let (mut kills, mut cuts) = (0, 0);
    let mut extra = Process::new(&ground, &WEB);
    for quantity in 1..=CHECKS {
        ids.insert(begin(&asks, &set, quantity).await);
        if kills < KILLS && dice.roll(CHECKS as u64) < KILLS as u64 {
            tokio::time::sleep(Duration::from_millis(dice.roll(150))).await;
            if dice.roll(4) == 0 {
                // A web process in the middle of taking a check.
                let dying = Asks { base: extra.base.clone(), client: client(), token: None };
                let body = json!({ "data_set": set, "order": { "quantity": quantity + 1000 } });
                let sent = tokio::spawn(async move {
                    let sent = dying.request(reqwest::Method::POST, "/api/checks").json(&body).send().await.ok()?;
                    let shown: serde_json::Value = sent.json().await.ok()?;
                    shown["id"].as_str().map(str::to_owned)
                });
                tokio::time::sleep(Duration::from_millis(dice.roll(12))).await;
                extra.kill();
                // What was answered is kept; what was not may be there or not, but never in part.
                ids.extend(sent.await.unwrap());
                extra = Process::new(&ground, &WEB);
            } else {
                let at = usize::try_from(dice.roll(2)).unwrap();
                workers[at].kill();
                workers[at] = Process::new(&ground, &WORK);
            }
            kills += 1;
        }
        if ground.places.database.is_some() && dice.roll(4) == 0 {
            // Every connection to the database is cut.
            let cut = "SELECT COUNT(pg_terminate_backend(pid)) FROM pg_stat_activity \
                       WHERE datname = current_database() AND pid <> pg_backend_pid()";
            sqlx::query(cut).fetch_one(store.db.pool()).await.unwrap();
            cuts += 1;
        }
    }
    assert!(ids.len() >= CHECKS);
    let begun = Instant::now();
    for id in &ids {
        let shown = asks[1].ended(&format!("/api/checks/{id}")).await;
        assert_eq!(shown["state"], "done", "{shown}");
    }
    // One end each, with all its parts, and the same report whoever made it.
    let rows = sqlx::query("SELECT c.id, c.attempts, COUNT(p.name) FROM board_check c JOIN check_part p ON p.check_id = c.id WHERE c.state = 'done' GROUP BY c.id, c.attempts")
        .fetch_all(store.db.pool())
        .await
        .unwrap();
    let done: BTreeSet<String> = rows.iter().map(|r| r.try_get(0).unwrap()).collect();
    assert!(ids.is_subset(&done));
    let parts: BTreeSet<i64> = rows.iter().map(|r| r.try_get(2).unwrap()).collect();
    assert_eq!(parts.len(), 1, "every check has all its parts: {parts:?}");
    let again = rows.iter().filter(|r| r.try_get::<i64, _>(1).unwrap() > 1).count();
    let unfinished: i64 = sqlx::query("SELECT COUNT(*) FROM board_check WHERE state <> 'done'")
        .fetch_one(store.db.pool())
        .await
        .unwrap()
        .try_get(0)
        .unwrap();
    assert_eq!(unfinished, 0, "recovery without a hand");
    store.audit_verified().await.unwrap();
    println!(
        "{} checks, {kills} kills, {cuts} cuts of every connection, {again} taken over, {:?} to the end",
        ids.len(),
        begun.elapsed()
    );
    store.db.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_service_that_is_asked_to_end_gives_its_work_back() {
    let ground = Ground::sqlite("term");
    let mut serve = Process::new(&ground, &["serve", "--listen", "127.0.0.1:0"]);
    let asks = Asks { base: serve.base.clone(), client: client(), token: None };
    let set = asks.upload().await;
    let mut checks = Vec::new();
    for quantity in 1..=12 {
        checks.push(asks.begin(&set, quantity).await);
    }
    let id = rustix::process::Pid::from_child(&serve.child);
    rustix::process::kill_process(id, rustix::process::Signal::TERM).unwrap();
    let status = tokio::task::spawn_blocking(move || serve.child.wait().unwrap()).await.unwrap();
    assert_eq!(status.code(), Some(0), "it ends in peace");
    let store = ground.store().await;
    let running = sqlx::query("SELECT COUNT(*) FROM board_check WHERE state = 'running'")
        .fetch_one(store.db.pool())
        .await
        .unwrap();
    assert_eq!(running.try_get::<i64, _>(0).unwrap(), 0);
    store.db.close().await;
    let again = ground.service().await;
    for check in &checks {
        again.asks().done(check).await;
    }
    again.stop().await;
}
