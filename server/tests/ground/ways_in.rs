//! The ways in: the first administrator, signing in, tokens, links to answer by, open uploads.

use reqwest::Method;
use serde_json::json;

use crate::on_both;
use crate::support::{Ground, PASSWORD, Running, administrator, person, sign_in};

on_both!(
    the_first_administrator_is_made_once_and_the_trial_ends,
    tokens_have_scopes_and_an_end_and_can_be_called_back,
    answer_links_are_signed_and_can_be_called_back,
);

const FORM: &str = "application/x-www-form-urlencoded";

/// Fields as a browser sends them; none of ours needs more than its spaces and slashes escaped.
fn fields(list: &[(&str, String)]) -> String {
    let pairs: Vec<String> =
        list.iter().map(|(n, v)| format!("{n}={}", v.replace('/', "%2F").replace(' ', "+"))).collect();
    pairs.join("&")
}

async fn the_first_administrator_is_made_once_and_the_trial_ends(ground: Ground) {
    let service = ground.service().await;
    let asks = service.asks();
    assert_eq!(asks.json("/api/session").await["mode"], "trial");
    let set = asks.upload().await;
    // On trial, another site's page must not come in under its own name (its name made to lead here).
    let rebound = asks.request(Method::GET, "/api/data-sets").header("host", "elsewhere.example").send().await.unwrap();
    assert_eq!(rebound.status(), 403);
    let store = ground.store().await;
    let key = store.first_key().await.unwrap();
    let body = |key: &str| {
        [
            ("key", key.to_owned()),
            ("login", "Ann".to_owned()),
            ("name", "Ann".to_owned()),
            ("password", PASSWORD.to_owned()),
        ]
    };
    let first = |key: String| {
        let asks = asks.clone();
        async move {
            asks.request(Method::POST, "/first")
                .header("content-type", FORM)
                .body(fields(&body(&key)))
                .send()
                .await
                .unwrap()
        }
    };
    assert_eq!(first("0".repeat(64)).await.status(), 403);
    assert_eq!(first(key.clone()).await.status(), 303);
    assert_eq!(first(key).await.status(), 403, "the key works once");
    assert_eq!(asks.json("/api/session").await["mode"], "closed");
    assert_eq!(asks.get(&format!("/api/data-sets/{set}")).await.status(), 401, "the trial is over");
    let opened = asks.request(Method::GET, "/parts/7").header("accept", "text/html").send().await.unwrap();
    assert_eq!(
        (opened.status().as_u16(), opened.headers()["location"].to_str().unwrap()),
        (303, "/sign-in?then=/parts/7")
    );
    // The page signs in without a script; the cookie is out of reach of scripts and other sites.
    let sent =
        fields(&[("login", "ann"), ("password", PASSWORD), ("then", "/parts/7")].map(|(n, v)| (n, v.to_owned())));
    let signed = asks.request(Method::POST, "/sign-in").header("content-type", FORM).body(sent).send().await.unwrap();
    assert_eq!((signed.status().as_u16(), signed.headers()["location"].to_str().unwrap()), (303, "/parts/7"));
    let cookie = signed.headers()["set-cookie"].to_str().unwrap().to_owned();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax"), "{cookie}");
    let ann = asks.with(cookie.split(';').next().unwrap());
    assert_eq!(ann.get(&format!("/api/data-sets/{set}")).await.status(), 200);
    // A cookie given by someone else is never taken over: signing in gives a new one and ends the old.
    let fixed = ann
        .request(Method::POST, "/api/session")
        .json(&json!({ "login": "ann", "password": PASSWORD }))
        .send()
        .await
        .unwrap();
    assert!(!fixed.headers()["set-cookie"].to_str().unwrap().starts_with(ann.token.as_deref().unwrap()));
    assert_eq!(ann.get(&format!("/api/data-sets/{set}")).await.status(), 401);
    let foreign = ann.request(Method::POST, "/api/parts").header("sec-fetch-site", "cross-site").send().await.unwrap();
    assert_eq!(foreign.status(), 403);
    let mut last = 0;
    for _ in 0..12 {
        last = asks.post("/api/session", &json!({ "login": "ann", "password": "wrong" })).await.status().as_u16();
    }
    assert_eq!(last, 429, "guessing is slowed down");
    store.db.close().await;
    service.stop().await;
}

async fn tokens_have_scopes_and_an_end_and_can_be_called_back(ground: Ground) {
    let service = ground.service().await;
    let admin = administrator(&ground, &service.asks()).await;
    let engineer = person(&admin, "eve", "engineer", None).await;
    let given = engineer.made("/api/tokens", &json!({ "name": "reads", "scopes": ["read"], "days": 1 })).await;
    let token = engineer.with(given["secret"].as_str().unwrap());
    assert_eq!(token.get("/api/parts").await.status(), 200);
    assert_eq!(
        token.post("/api/parts", &json!({ "number": "1", "title": "1" })).await.status(),
        403,
        "it may read alone"
    );
    assert_eq!(token.post("/api/tokens", &json!({ "name": "x", "scopes": ["read"] })).await.status(), 403);
    assert_eq!(engineer.post("/api/tokens", &json!({ "name": "x", "scopes": ["people"] })).await.status(), 403);
    assert!(!engineer.json("/api/tokens").await.to_string().contains(given["secret"].as_str().unwrap()), "shown once");
    // The records hold no secret as it is.
    let store = ground.store().await;
    assert!(store.token(given["secret"].as_str().unwrap()).await.unwrap().is_some());
    sqlx::query("UPDATE token SET expires_at = 1").execute(store.db.pool()).await.unwrap();
    assert_eq!(token.get("/api/parts").await.status(), 401, "it has ended");
    let other = engineer.made("/api/tokens", &json!({ "name": "again", "scopes": ["read"] })).await;
    let token = engineer.with(other["secret"].as_str().unwrap());
    let address = format!("/api/tokens/{}", other["id"].as_str().unwrap());
    assert_eq!(token.get("/api/parts").await.status(), 200);
    assert_eq!(engineer.request(Method::DELETE, &address).send().await.unwrap().status(), 204);
    assert_eq!(token.get("/api/parts").await.status(), 401, "it was called back");
    // Shut out: session and tokens end.
    let last = engineer.made("/api/tokens", &json!({ "name": "last", "scopes": ["read"] })).await;
    let token = engineer.with(last["secret"].as_str().unwrap());
    let people = admin.json("/api/people").await;
    let eve = people["items"].as_array().unwrap().iter().find(|p| p["login"] == "eve").unwrap()["id"].clone();
    let shut = admin
        .request(Method::PATCH, &format!("/api/people/{}", eve.as_str().unwrap()))
        .json(&json!({ "disabled": true }));
    assert_eq!(shut.send().await.unwrap().status(), 200);
    assert_eq!(
        (token.get("/api/parts").await.status().as_u16(), engineer.get("/api/parts").await.status().as_u16()),
        (401, 401)
    );
    let own = people["items"].as_array().unwrap().iter().find(|p| p["login"] == "admin").unwrap()["id"].clone();
    let alone = admin
        .request(Method::PATCH, &format!("/api/people/{}", own.as_str().unwrap()))
        .json(&json!({ "disabled": true }));
    assert_eq!(alone.send().await.unwrap().status(), 409, "one administrator remains");
    store.db.close().await;
    service.stop().await;
}

async fn answer_links_are_signed_and_can_be_called_back(ground: Ground) {
    let service = ground.service().await;
    let admin = administrator(&ground, &service.asks()).await;
    let set = admin.upload().await;
    let check = admin.begin(&set, 2).await;
    admin.done(&check).await;
    let part = admin.made("/api/parts", &json!({ "number": "P", "title": "P" })).await;
    let revision = admin
        .made(
            &format!("/api/parts/{}/revisions", part["id"].as_str().unwrap()),
            &json!({ "name": "A", "data_set": set }),
        )
        .await;
    let form = admin
        .made("/api/forms", &json!({ "revision": revision["id"], "check": check.rsplit('/').next().unwrap() }))
        .await;
    assert!(form["lines"].as_array().unwrap().iter().any(|l| l["rule"] == "tight-gap" && l["state"] == "found"));
    let links = format!("/api/forms/{}/links", form["id"].as_str().unwrap());
    let link = admin.made(&links, &json!({ "made_for": "buyer at Tarn Row", "days": 3 })).await;
    let word = link["word"].as_str().unwrap();
    let anyone = service.asks();
    let seen = anyone.json(&format!("/api/answers/{word}")).await;
    assert_eq!(seen["lines"], form["lines"]);
    // Another form's id, a later end, or another signature: refused.
    let pieces: Vec<&str> = word.split('.').collect();
    for made_up in [
        format!("{}.{}.{}", "0".repeat(32), pieces[1], pieces[2]),
        format!("{}.{}9.{}", pieces[0], pieces[1], pieces[2]),
        format!("{}.{}.{}", pieces[0], pieces[1], "0".repeat(64)),
        "x".to_owned(),
    ] {
        assert_eq!(anyone.get(&format!("/api/answers/{made_up}")).await.status(), 404, "{made_up}");
    }
    let address = format!("{links}/{}", link["id"].as_str().unwrap());
    assert_eq!(admin.request(Method::DELETE, &address).send().await.unwrap().status(), 204);
    assert_eq!(anyone.get(&format!("/api/answers/{word}")).await.status(), 404, "it was called back");
    service.stop().await;
}

#[tokio::test]
async fn without_an_account_data_are_taken_where_that_is_turned_on() {
    let ground = Ground::sqlite("open");
    let service = Running::of(landgap_server::http::serve::Setup { open_uploads: true, ..ground.setup() }).await;
    let admin = administrator(&ground, &service.asks()).await;
    let anyone = service.asks();
    assert_eq!(anyone.json("/api/session").await["mode"], "open");
    let set = anyone.upload_with("sent by anyone").await;
    let check = anyone.begin(&set, 1).await;
    anyone.done(&check).await;
    assert_eq!(anyone.get(&format!("{check}/report")).await.status(), 200);
    let own = admin.upload().await;
    assert_eq!(anyone.get(&format!("/api/data-sets/{own}")).await.status(), 404, "the shop's own is not theirs");
    for list in ["/api/data-sets", "/api/parts", "/api/forms"] {
        assert_eq!(anyone.get(list).await.status(), 401, "{list}");
    }
    service.stop().await;
}

#[tokio::test]
async fn signing_out_ends_the_session() {
    let ground = Ground::sqlite("out");
    let service = ground.service().await;
    let admin = administrator(&ground, &service.asks()).await;
    let other = admin.with(&sign_in(&service.asks(), "admin").await);
    assert_eq!(admin.request(Method::DELETE, "/api/session").send().await.unwrap().status(), 204);
    assert_eq!(admin.get("/api/people").await.status(), 401);
    assert_eq!(other.get("/api/people").await.status(), 200, "the other session goes on");
    service.stop().await;
}
