//! What is kept: the audit log, deletion, backup, repeated requests, lists.

use std::path::Path;
use std::process::Command;

use landgap_server::store::audit::Entry;
use landgap_server::store::form_changes::Change;
use landgap_server::store::forms::NewLine;
use reqwest::Method;
use serde_json::json;

use crate::on_both;
use crate::support::{Asks, Ground, administrator, person, program};

on_both!(
    the_audit_log_only_grows_and_shows_what_was_changed_from_outside,
    a_deleted_set_leaves_a_proof_and_nothing_else,
    a_repeated_request_does_nothing_again,
    lists_come_in_pages_without_gaps,
    a_form_is_changed_by_the_quicker_alone,
    metrics_and_requests_are_named_without_identifiers,
);

async fn the_audit_log_only_grows_and_shows_what_was_changed_from_outside(ground: Ground) {
    let store = ground.store().await;
    let tasks: Vec<_> = (0..40)
        .map(|n| {
            let store = store.clone();
            tokio::spawn(async move { store.note(&Entry::new("someone", "signed-in", &n.to_string())).await })
        })
        .collect();
    for task in tasks {
        task.await.unwrap().unwrap();
    }
    let (entries, last) = store.audit_verified().await.unwrap();
    assert_eq!((entries, last.len()), (40, 64), "forty at once, one chain");
    for statement in ["UPDATE audit SET actor = 'x' WHERE seq = 7", "DELETE FROM audit WHERE seq = 40"] {
        sqlx::query(statement).execute(store.db.pool()).await.expect_err(statement);
    }
    // Whoever owns the database can take the guard away, but not repair the chain unseen.
    for (guard, harm, at) in [
        ("audit_is_final", "UPDATE audit SET actor = 'x' WHERE seq = 7", 7),
        ("audit_is_kept", "DELETE FROM audit WHERE seq = 40", 7),
    ] {
        let take = if ground.places.database.is_some() {
            "ALTER TABLE audit DISABLE TRIGGER audit_is_append_only".to_owned()
        } else {
            format!("DROP TRIGGER {guard}")
        };
        sqlx::query(sqlx::AssertSqlSafe(take)).execute(store.db.pool()).await.unwrap();
        sqlx::query(harm).execute(store.db.pool()).await.unwrap();
        let fault = store.audit_verified().await.unwrap_err();
        assert!(fault.detail.contains(&format!("entry {at}")), "{}", fault.detail);
    }
    sqlx::query("UPDATE audit SET actor = 'someone' WHERE seq = 7").execute(store.db.pool()).await.unwrap();
    let fault = store.audit_verified().await.unwrap_err();
    assert!(fault.detail.contains("entry 40"), "a missing end is seen as well: {}", fault.detail);
    store.db.close().await;
}

/// Whether some bytes stand in any file below a folder.
fn stands(folder: &Path, bytes: &[u8]) -> bool {
    std::fs::read_dir(folder).into_iter().flatten().flatten().any(|entry| {
        let path = entry.path();
        if path.is_dir() {
            return stands(&path, bytes);
        }
        std::fs::read(&path).is_ok_and(|text| text.windows(bytes.len()).any(|w| w == bytes))
    })
}

async fn a_deleted_set_leaves_a_proof_and_nothing_else(ground: Ground) {
    let service = ground.service().await;
    let admin = administrator(&ground, &service.asks()).await;
    let customer =
        admin.made("/api/customers", &json!({ "name": "Tarn Row" })).await["id"].as_str().unwrap().to_owned();
    let own = person(&admin, "own", "customer", Some(&customer)).await;
    let set = own.upload_with("wording that is found nowhere else").await;
    admin.upload_with("wording that is found nowhere else").await;
    let check = own.begin(&set, 9).await;
    own.done(&check).await;
    let part = own.made("/api/parts", &json!({ "number": "1", "title": "1" })).await;
    let revisions = format!("/api/parts/{}/revisions", part["id"].as_str().unwrap());
    let revision = own.made(&revisions, &json!({ "name": "A", "data_set": set })).await;
    let form = admin
        .made("/api/forms", &json!({ "revision": revision["id"], "check": check.rsplit('/').next().unwrap() }))
        .await;
    assert!(stands(&ground.folder.0, b"found nowhere else"));
    let erase = |owner: String| {
        let (admin, set) = (admin.clone(), set.clone());
        async move { admin.request(Method::DELETE, &format!("/api/data-sets/{set}?owner={owner}")).send().await.unwrap() }
    };
    let first: serde_json::Value = erase(customer.clone()).await.json().await.unwrap();
    assert_eq!(first, json!({ "content": false, "files": 0, "checks": 0, "forms": 1 }), "another owner holds the same");
    assert_eq!(own.get(&format!("/api/data-sets/{set}")).await.status(), 404);
    assert_eq!(admin.get(&format!("/api/forms/{}", form["id"].as_str().unwrap())).await.status(), 404);
    assert_eq!(admin.get(&check).await.status(), 200);
    let last: serde_json::Value = erase("house".to_owned()).await.json().await.unwrap();
    assert_eq!(last, json!({ "content": true, "files": 7, "checks": 1, "forms": 0 }));
    assert_eq!(erase("house".to_owned()).await.status(), 404);
    assert_eq!(admin.get(&check).await.status(), 404);
    let entries = admin.json("/api/audit?limit=500").await;
    let proofs: Vec<_> =
        entries["items"].as_array().unwrap().iter().filter(|e| e["action"] == "data-set-deleted").collect();
    assert!(proofs.len() == 2 && proofs.iter().all(|p| p["subject"] == set.as_str()));
    assert_eq!(admin.json("/api/audit/chain").await["entries"], entries["items"].as_array().unwrap().len());
    // Neither files nor what was found in them lie anywhere in the data folder, nor in the database's own files.
    service.stop().await;
    for trace in [b"found nowhere else".as_slice(), b"board-copper-top.gbr", b"BETWEEN"] {
        assert!(!stands(&ground.folder.0, trace), "{}", String::from_utf8_lossy(trace));
    }
}

async fn a_repeated_request_does_nothing_again(ground: Ground) {
    let service = ground.service().await;
    let asks = service.asks();
    let make = |number: &'static str, key: &'static str| {
        let request = asks.request(Method::POST, "/api/parts").header("idempotency-key", key);
        async move { request.json(&json!({ "number": number, "title": "Buoy" })).send().await.unwrap() }
    };
    let first = make("1", "k-1").await;
    assert_eq!(first.status(), 201);
    let (place, body) = (first.headers()["location"].clone(), first.text().await.unwrap());
    let again = make("1", "k-1").await;
    assert_eq!((again.status().as_u16(), &again.headers()["location"]), (201, &place));
    assert_eq!(again.headers()["idempotency-replayed"], "true");
    assert_eq!(again.text().await.unwrap(), body);
    assert_eq!(make("2", "k-1").await.status(), 409, "the same key for something else");
    assert_eq!(make("1", "k-2").await.status(), 409, "a new key is a new request");
    let at_once: Vec<_> = (0..8).map(|_| tokio::spawn(make("3", "k-3"))).collect();
    let mut statuses = Vec::new();
    for task in at_once {
        statuses.push(task.await.unwrap().status().as_u16());
    }
    assert!(statuses.iter().all(|s| matches!(s, 201 | 409)), "{statuses:?}");
    assert_eq!(asks.json("/api/parts").await["items"].as_array().unwrap().len(), 2, "eight at once made one");
    service.stop().await;
}

async fn lists_come_in_pages_without_gaps(ground: Ground) {
    let service = ground.service().await;
    let asks = service.asks();
    for number in 0..7 {
        asks.made("/api/parts", &json!({ "number": number.to_string(), "title": "x" })).await;
        asks.upload_with(&format!("set {number}")).await;
    }
    for list in ["/api/parts", "/api/data-sets", "/api/audit"] {
        let whole = asks.json(&format!("{list}?limit=500")).await["items"].as_array().unwrap().clone();
        assert_eq!(whole.len(), 7, "{list}");
        let mut seen = Vec::new();
        let mut after = String::new();
        loop {
            let page = asks.json(&format!("{list}?limit=3&after={after}")).await;
            seen.extend(page["items"].as_array().unwrap().clone());
            match page["next"].as_str() {
                Some(next) => after = next.to_owned(),
                None => break,
            }
        }
        assert_eq!(seen, whole, "{list}");
    }
    for wrong in ["limit=0", "limit=501", "limit=x"] {
        assert_eq!(asks.get(&format!("/api/parts?{wrong}")).await.status(), 400, "{wrong}");
    }
    service.stop().await;
}

async fn a_form_is_changed_by_the_quicker_alone(ground: Ground) {
    let service = ground.service().await;
    let asks = service.asks();
    let (form, _) = form(&asks).await;
    let store = ground.store().await;
    let change = |actor: &'static str| Change {
        actor,
        action: "worded",
        on_version: 1,
        head: None,
        lines: vec![(1, "worded".to_owned(), json!({ "title": actor }))],
        added: vec![NewLine {
            state: "found".to_owned(),
            severity: "ask".to_owned(),
            rule: "by-hand".to_owned(),
            body: json!({}),
        }],
        told: json!({ "why": "clearer" }),
    };
    let (one, two) = tokio::join!(store.change_form(&form, change("one")), store.change_form(&form, change("two")));
    assert_eq!([&one, &two].iter().filter(|r| r.is_ok()).count(), 1, "{one:?} {two:?}");
    let lost = one.or(two).unwrap();
    assert_eq!(lost.version, 2);
    let lines = store.lines(&form).await.unwrap();
    let log = store.form_log(&form, 0, 100).await.unwrap();
    assert_eq!(lines.len() + 1, log.len(), "one entry for each line made, one for the change");
    assert!(log.iter().enumerate().all(|(n, e)| e.entry == n as i64 + 1), "numbered without gaps");
    let moved = log.iter().find(|e| e.from_state.is_some()).unwrap();
    assert_eq!((moved.from_state.as_deref(), moved.to_state.as_deref()), (Some("found"), Some("worded")));
    sqlx::query("UPDATE form_log SET actor = 'x'").execute(store.db.pool()).await.expect_err("the log is append-only");
    sqlx::query("DELETE FROM form_log").execute(store.db.pool()).await.expect_err("the log is append-only");
    store.db.close().await;
    service.stop().await;
}

/// A form made from the small board; its id and its data set.
pub async fn form(asks: &Asks) -> (String, String) {
    let set = asks.upload().await;
    let check = asks.begin(&set, 2).await;
    asks.done(&check).await;
    let part = asks.made("/api/parts", &json!({ "number": "F", "title": "F" })).await;
    let revisions = format!("/api/parts/{}/revisions", part["id"].as_str().unwrap());
    let revision = asks.made(&revisions, &json!({ "name": "A", "data_set": set })).await;
    let body = json!({ "revision": revision["id"], "check": check.rsplit('/').next().unwrap() });
    (asks.made("/api/forms", &body).await["id"].as_str().unwrap().to_owned(), set)
}

async fn metrics_and_requests_are_named_without_identifiers(ground: Ground) {
    let service = ground.service().await;
    let asks = service.asks();
    let set = asks.upload().await;
    let named = asks
        .request(Method::GET, &format!("/api/data-sets/{set}"))
        .header("x-request-id", "order-4711-a")
        .send()
        .await
        .unwrap();
    assert_eq!(named.headers()["x-request-id"], "order-4711-a");
    let odd = asks.request(Method::GET, "/livez").header("x-request-id", "a b\"c<script>").send().await.unwrap();
    assert_eq!(odd.headers()["x-request-id"].len(), 32, "an odd name is replaced");
    asks.get("/no/such/place").await;
    let text = asks.get("/metrics").await.text().await.unwrap();
    assert!(
        text.contains("landgap_requests_total{method=\"GET\",path=\"/api/data-sets/{id}\",status=\"200\"} 1"),
        "{text}"
    );
    assert!(text.contains("landgap_checks{state=\"queued\"} 0") && text.trim_end().ends_with("# EOF"), "{text}");
    assert!(!text.contains(&set) && !text.contains("/no/such"), "no identifier and no made-up address is a label");
    service.stop().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_backup_carries_a_service_from_sqlite_to_postgresql_and_back() {
    let from = Ground::sqlite("carry-from");
    let service = from.service().await;
    let admin = administrator(&from, &service.asks()).await;
    let (form, set) = form(&admin).await;
    let file = from.folder.0.join("one.tar").display().to_string();
    let run = |arguments: Vec<String>| async move {
        let done = tokio::task::spawn_blocking(move || Command::new(program()).args(arguments).output().unwrap())
            .await
            .unwrap();
        (
            done.status.code(),
            String::from_utf8_lossy(&done.stdout).into_owned() + &String::from_utf8_lossy(&done.stderr),
        )
    };
    let with =
        |what: &str, file: &str, ground: &Ground| [vec![what.to_owned(), file.to_owned()], ground.arguments()].concat();
    // While it runs.
    let (code, text) = run(with("backup", &file, &from)).await;
    assert_eq!(code, Some(0), "{text}");
    let before = (admin.json(&format!("/api/forms/{form}")).await, admin.json("/api/audit/chain").await);
    service.stop().await;
    let (code, text) = run(with("restore", &file, &from)).await;
    assert!(code == Some(3) && text.contains("empty service"), "{text}");
    let mut grounds = vec![Ground::sqlite("carry-to")];
    grounds.extend(Ground::postgres("carry_to").await);
    for to in grounds {
        let (code, text) = run(with("restore", &file, &to)).await;
        assert_eq!(code, Some(0), "{text}");
        let service = to.service().await;
        let admin = service.asks().with(&crate::support::sign_in(&service.asks(), "admin").await);
        assert_eq!(admin.json(&format!("/api/forms/{form}")).await, before.0);
        let chain = admin.json("/api/audit/chain").await;
        assert!(chain["entries"].as_i64() >= before.1["entries"].as_i64());
        let check = admin.begin(&set, 2).await;
        assert_eq!(admin.json(&check).await["state"], "done", "what was done stays done");
        assert_eq!(admin.get(&format!("{check}/report")).await.status(), 200);
        // And once more from there.
        let (code, text) = run(with("backup", &format!("{file}.2"), &to)).await;
        assert_eq!(code, Some(0), "{text}");
        service.stop().await;
    }
    // A cut or changed backup is refused whole.
    let bytes = std::fs::read(&file).unwrap();
    std::fs::write(format!("{file}.cut"), &bytes[..bytes.len() / 2]).unwrap();
    let empty = Ground::sqlite("carry-cut");
    let (code, text) = run(with("restore", &format!("{file}.cut"), &empty)).await;
    assert_eq!(code, Some(4), "{text}");
    let store = empty.store().await;
    assert!(!store.has_people().await.unwrap());
    assert_eq!(store.audit_verified().await.unwrap().0, 0);
}

#[tokio::test]
async fn data_that_changed_on_the_disk_are_refused() {
    let ground = Ground::sqlite("changed");
    let service = ground.service().await;
    let asks = service.asks();
    let set = asks.upload().await;
    for entry in std::fs::read_dir(ground.folder.0.join("objects/sets")).unwrap() {
        let path = entry.unwrap().path();
        let mut bytes = std::fs::read(&path).unwrap();
        bytes[100] ^= 1;
        std::fs::write(&path, bytes).unwrap();
    }
    let check = asks.begin(&set, 1).await;
    let ended = asks.ended(&check).await;
    assert!(
        ended["state"] == "failed" && ended["problem"]["detail"].as_str().unwrap().contains("has changed"),
        "{ended}"
    );
    service.stop().await;
}

#[tokio::test]
async fn objects_without_a_record_are_swept_and_others_stay() {
    let ground = Ground::sqlite("sweep");
    let service = ground.service().await;
    let asks = service.asks();
    let set = asks.upload().await;
    let check = asks.begin(&set, 1).await;
    asks.done(&check).await;
    let store = ground.store().await;
    let left = format!("sets/{}", landgap_server::store::fresh_id());
    store.objects.put(&left, vec![b"left".as_slice().into()]).await.unwrap();
    assert_eq!(store.sweep(3_600_000).await.unwrap(), 0, "what is young may still be on its way into a record");
    tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    assert_eq!(store.sweep(0).await.unwrap(), 1);
    assert_eq!(asks.get(&format!("{check}/report")).await.status(), 200);
    store.db.close().await;
    service.stop().await;
}
