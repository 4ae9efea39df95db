//! Checks as jobs: taken, called off, begun again, bounded, put aside.

use std::os::unix::fs::PermissionsExt;

use reqwest::Method;
use serde_json::json;

use crate::on_both;
use crate::support::{Ground, Running};

on_both!(
    a_check_survives_a_restart_and_is_done_once,
    a_check_is_called_off_and_begun_again,
    a_check_that_ends_the_program_is_put_aside_and_never_clean,
    events_of_a_check_done_elsewhere_are_seen,
);

async fn a_check_survives_a_restart_and_is_done_once(ground: Ground) {
    // Nobody works here: the check waits in the records.
    let waiting = Running::of(landgap_server::http::serve::Setup { workers: 0, ..ground.setup() }).await;
    let asks = waiting.asks();
    let set = asks.upload().await;
    let check = asks.begin(&set, 5).await;
    assert_eq!(asks.begin(&set, 5).await, check, "asking twice is one check");
    assert_eq!(asks.json(&check).await["state"], "queued");
    assert_eq!(asks.get(&format!("{check}/report")).await.status(), 409);
    waiting.stop().await;
    let working = ground.service().await;
    let asks = working.asks();
    asks.done(&check).await;
    let first = asks.get(&format!("{check}/report")).await;
    let tag = first.headers()["etag"].to_str().unwrap().to_owned();
    let again =
        asks.request(Method::GET, &format!("{check}/report")).header("if-none-match", &tag).send().await.unwrap();
    assert_eq!((again.status().as_u16(), again.headers()["etag"].to_str().unwrap()), (304, tag.as_str()));
    working.stop().await;
}

async fn a_check_is_called_off_and_begun_again(ground: Ground) {
    let waiting = Running::of(landgap_server::http::serve::Setup { workers: 0, ..ground.setup() }).await;
    let asks = waiting.asks();
    let set = asks.upload().await;
    let check = asks.begin(&set, 1).await;
    assert_eq!(asks.request(Method::DELETE, &check).send().await.unwrap().status(), 202);
    assert_eq!(asks.json(&check).await["state"], "cancelled");
    assert_eq!(asks.get(&format!("{check}/report")).await.status(), 409, "a cancelled check never counts as done");
    let done = asks.post(&format!("{check}/retry"), &json!({})).await;
    assert_eq!(done.status(), 202);
    assert_eq!(asks.post(&format!("{check}/retry"), &json!({})).await.status(), 409, "it is in line already");
    waiting.stop().await;
    let working = ground.service().await;
    working.asks().done(&check).await;
    working.stop().await;
}

/// A program in place of ours that ends by itself on every check.
fn ending(ground: &Ground) -> std::path::PathBuf {
    let path = ground.folder.0.join("ending.sh");
    std::fs::write(
        &path,
        "#!/bin/sh\necho run >> \"$(dirname \"$0\")/runs\"\necho 'it went wrong' >&2\nkill -ABRT $$\n",
    )
    .unwrap();
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o755)).unwrap();
    path
}

async fn a_check_that_ends_the_program_is_put_aside_and_never_clean(ground: Ground) {
    let program = ending(&ground);
    let service = Running::of(landgap_server::http::serve::Setup { program, ..ground.setup() }).await;
    let asks = service.asks();
    let set = asks.upload().await;
    let check = asks.begin(&set, 1).await;
    let ended = asks.ended(&check).await;
    assert_eq!((ended["state"].as_str(), ended["quarantined"].as_bool()), (Some("failed"), Some(true)), "{ended}");
    assert!(ended["problem"]["type"].as_str().unwrap().ends_with("could-not-be-checked"));
    assert!(ended["problem"]["detail"].as_str().unwrap().contains("it went wrong"), "{ended}");
    let runs = std::fs::read_to_string(ground.folder.0.join("runs")).unwrap();
    assert_eq!(runs.lines().count(), 3, "three tries and no more");
    assert_eq!(asks.get(&format!("{check}/report")).await.status(), 500);
    assert_eq!(asks.begin(&set, 1).await, check);
    assert_eq!(asks.json(&check).await["state"], "failed", "asking again does not begin it again");
    assert_eq!(asks.get("/livez").await.status(), 200);
    service.stop().await;
    // With a program that does not end it is begun again by hand.
    let service = ground.service().await;
    let asks = service.asks();
    asks.made(&format!("{check}/retry"), &json!({})).await;
    asks.done(&check).await;
    service.stop().await;
}

async fn events_of_a_check_done_elsewhere_are_seen(ground: Ground) {
    let web = Running::of(landgap_server::http::serve::Setup { workers: 0, ..ground.setup() }).await;
    let asks = web.asks();
    let set = asks.upload().await;
    let check = asks.begin(&set, 1).await;
    let watching = asks.clone();
    let events = tokio::spawn({
        let check = check.clone();
        async move { watching.get(&format!("{check}/events")).await.text().await.unwrap() }
    });
    let other = ground.service().await;
    let events = tokio::time::timeout(std::time::Duration::from_secs(200), events).await.unwrap().unwrap();
    assert!(
        // A quick check may be done before the watching begins: then its end is all there is to see.
        events.trim_end().lines().rev().take(2).any(|l| l == "event: done"),
        "{events}"
    );
    other.stop().await;
    web.stop().await;
}

#[tokio::test]
async fn time_and_memory_of_a_check_are_bounded() {
    let ground = Ground::sqlite("budget");
    for (limit, value, status) in [("seconds", 0, 408), ("memory", 50 << 20, 413)] {
        let mut setup = ground.setup();
        setup.limits.set(&format!("{limit}={value}")).unwrap();
        let service = Running::of(setup).await;
        let asks = service.asks();
        // A text of 30 MiB beside the board: it is read once and laid out once more.
        let set = asks.upload_with(&"x".repeat(30 << 20)).await;
        let check = asks.begin(&set, status).await;
        let ended = asks.ended(&check).await;
        assert_eq!(ended["problem"]["status"], status, "{ended}");
        assert!(ended["problem"]["detail"].as_str().unwrap().contains(&format!("\"{limit}\"")), "{ended}");
        service.stop().await;
    }
}

#[tokio::test]
async fn the_line_has_an_end() {
    let ground = Ground::sqlite("line");
    let mut setup = landgap_server::http::serve::Setup { workers: 0, ..ground.setup() };
    setup.limits.set("waiting=3").unwrap();
    let service = Running::of(setup).await;
    let asks = service.asks();
    let set = asks.upload().await;
    for quantity in 1..=3 {
        asks.begin(&set, quantity).await;
    }
    let refused = asks.post("/api/checks", &json!({ "data_set": set, "order": { "quantity": 4 } })).await;
    assert_eq!(refused.status(), 429);
    assert!(refused.headers().contains_key("retry-after"));
    service.stop().await;
}
