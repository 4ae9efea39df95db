//! Who reaches what: the matrix of roles and addresses, and what a customer sees.

use landgap_server::http::rights::{DOORS, Need};
use landgap_server::people::{Role, Scope};
use reqwest::Method;
use serde_json::json;

use crate::on_both;
use crate::support::{Asks, Ground, administrator, person};

on_both!(every_role_reaches_what_it_should_and_nothing_else, a_customer_sees_its_own_alone,);

/// Which roles an address is for: Administrator, Engineer, second engineer (2), Quality, Sales, Customer, sCript (P).
const MATRIX: &[(&str, &str, &str)] = &[
    ("GET", "/metrics", "AP"),
    ("GET", "/api/data-sets", "AE2QSCP"),
    ("POST", "/api/data-sets", "AE2CP"),
    ("GET", "/api/data-sets/{id}", "AE2QSCP"),
    ("DELETE", "/api/data-sets/{id}", "A"),
    ("POST", "/api/checks", "AE2CP"),
    ("GET", "/api/checks/{id}", "AE2QSCP"),
    ("DELETE", "/api/checks/{id}", "AE2CP"),
    ("POST", "/api/checks/{id}/retry", "AE2CP"),
    ("POST", "/api/checks/{id}/judge", "AE2CP"),
    ("GET", "/api/checks/{id}/events", "AE2QSCP"),
    ("GET", "/api/checks/{id}/report", "AE2QSCP"),
    ("GET", "/api/checks/{id}/form", "AE2QSCP"),
    ("GET", "/api/checks/{id}/board.svg", "AE2QSCP"),
    ("GET", "/api/checks/{id}/figures/{figure}", "AE2QSCP"),
    ("GET", "/api/parts", "AE2QSCP"),
    ("POST", "/api/parts", "AE2CP"),
    ("GET", "/api/parts/{id}", "AE2QSCP"),
    ("POST", "/api/parts/{id}/revisions", "AE2CP"),
    ("GET", "/api/forms", "AE2QSCP"),
    ("POST", "/api/forms", "AE2"),
    ("GET", "/api/forms/{id}", "AE2QSCP"),
    ("GET", "/api/forms/{id}/log", "AE2QSCP"),
    ("GET", "/api/forms/{id}/links", "AE2S"),
    ("POST", "/api/forms/{id}/links", "AE2S"),
    ("DELETE", "/api/forms/{id}/links/{link}", "AE2S"),
    ("GET", "/api/forms/{id}/gate", "AE2QSCP"),
    // Who may do what with a line is decided by the rules of its life, not by the address.
    ("POST", "/api/forms/{id}/lines/{number}/acts", "AE2QSCP"),
    ("GET", "/api/people", "A"),
    ("POST", "/api/people", "A"),
    ("GET", "/api/people/{id}", "A"),
    ("PATCH", "/api/people/{id}", "A"),
    ("POST", "/api/people/{id}/tokens", "A"),
    ("GET", "/api/customers", "A"),
    ("POST", "/api/customers", "A"),
    ("GET", "/api/tokens", "AE2QSCP"),
    ("POST", "/api/tokens", "AE2QSC"),
    ("DELETE", "/api/tokens/{id}", "AE2QSCP"),
    ("GET", "/api/audit", "AQ"),
    ("GET", "/api/audit/chain", "AQ"),
];

/// Addresses that are everyone's.
const OPEN: &[&str] = &[
    "GET /livez",
    "GET /readyz",
    "GET /sign-in",
    "POST /sign-in",
    "GET /first",
    "POST /first",
    "GET /api/session",
    "POST /api/session",
    "DELETE /api/session",
    "GET /api/answers/{word}",
    "POST /api/answers/{word}/lines/{number}",
    "GET /api/capabilities",
    "GET /api/rules",
    "GET /api/recognisers",
    "GET /api/remarks",
    "GET /api/demo",
    "GET /api/problems",
    "GET /api/problems/{slug}",
    "GET /api/report.schema.json",
    "GET /api/openapi.json",
];

async fn script(admin: &Asks) -> Asks {
    let body = json!({ "login": "gate", "name": "Gate", "role": "script" });
    let id = admin.made("/api/people", &body).await["id"].as_str().unwrap().to_owned();
    let scopes: Vec<&str> = Role::Script.scopes().iter().map(|s| s.word()).collect();
    let token = admin.made(&format!("/api/people/{id}/tokens"), &json!({ "name": "gate", "scopes": scopes })).await;
    admin.with(token["secret"].as_str().unwrap())
}

fn filled(path: &str) -> String {
    let id = "0".repeat(32);
    path.replace("{id}", &id).replace("{link}", &id).replace("{figure}", "1.svg").replace("{number}", "1")
}

#[test]
fn the_matrix_names_every_address() {
    for door in DOORS {
        let open = OPEN.contains(&format!("{} {}", door.method, door.path).as_str());
        let listed = MATRIX.iter().filter(|(m, p, _)| *m == door.method.as_str() && *p == door.path).count();
        assert_eq!((open, listed), (door.need == Need::Nothing, usize::from(!open)), "{} {}", door.method, door.path);
    }
    assert_eq!(DOORS.len(), MATRIX.len() + OPEN.len());
}

#[test]
fn the_document_and_the_table_of_rights_name_the_same_addresses() {
    let document: serde_json::Value = serde_json::from_str(landgap_server::http::OPENAPI).unwrap();
    let mut documented = Vec::new();
    for (path, methods) in document["paths"].as_object().unwrap() {
        documented.extend(methods.as_object().unwrap().keys().map(|m| format!("{} {path}", m.to_uppercase())));
        for (method, asked) in methods.as_object().unwrap() {
            let guarded = asked.get("security").is_some();
            let need = landgap_server::http::rights::need(
                &Method::from_bytes(method.to_uppercase().as_bytes()).unwrap(),
                path,
            );
            assert_eq!(Some(guarded), need.map(|n| n != Need::Nothing), "{method} {path}");
        }
    }
    documented.sort();
    let mut listed: Vec<String> = DOORS.iter().map(|d| format!("{} {}", d.method, d.path)).collect();
    listed.sort();
    assert_eq!(documented, listed);
}

async fn every_role_reaches_what_it_should_and_nothing_else(ground: Ground) {
    let service = ground.service().await;
    let admin = administrator(&ground, &service.asks()).await;
    let customer =
        admin.made("/api/customers", &json!({ "name": "Tarn Row" })).await["id"].as_str().unwrap().to_owned();
    let mut roles = vec![('A', admin.clone()), ('P', script(&admin).await)];
    for (letter, role) in [('E', "engineer"), ('2', "second-engineer"), ('Q', "quality"), ('S', "sales")] {
        roles.push((letter, person(&admin, role, role, None).await));
    }
    roles.push(('C', person(&admin, "customer", "customer", Some(&customer)).await));
    let mut asked = 0;
    for (method, path, allowed) in MATRIX {
        let method = Method::from_bytes(method.as_bytes()).unwrap();
        for (letter, asks) in &roles {
            let status = asks.request(method.clone(), &filled(path)).send().await.unwrap().status().as_u16();
            let expected = allowed.contains(*letter);
            assert_eq!(!matches!(status, 401 | 403), expected, "{method} {path} as {letter}: {status}");
            assert_ne!(status, 500, "{method} {path} as {letter}");
            asked += 1;
        }
        let nobody = service.asks().request(method.clone(), &filled(path)).send().await.unwrap();
        assert_eq!(nobody.status(), 401, "{method} {path} without an account");
        assert_eq!(nobody.headers()["www-authenticate"], "Bearer");
    }
    println!("{asked} pairs of role and address");
    service.stop().await;
}

async fn a_customer_sees_its_own_alone(ground: Ground) {
    let service = ground.service().await;
    let admin = administrator(&ground, &service.asks()).await;
    let mut both = Vec::new();
    for name in ["Tarn Row", "Scree Lane"] {
        let customer = admin.made("/api/customers", &json!({ "name": name })).await["id"].as_str().unwrap().to_owned();
        both.push((person(&admin, name, "customer", Some(&customer)).await, customer));
    }
    let (one, own) = both[0].clone();
    let (other, _) = both[1].clone();
    let set = one.upload_with("one's own").await;
    let check = one.begin(&set, 3).await;
    one.done(&check).await;
    let part = one.made("/api/parts", &json!({ "number": "TR-1", "title": "Buoy" })).await;
    assert_eq!(part["owner"], own.as_str());
    let part = part["id"].as_str().unwrap().to_owned();
    let revision = one.made(&format!("/api/parts/{part}/revisions"), &json!({ "name": "A", "data_set": set })).await;
    let form = admin
        .made("/api/forms", &json!({ "revision": revision["id"], "check": check.rsplit('/').next().unwrap() }))
        .await;
    let form = format!("/api/forms/{}", form["id"].as_str().unwrap());
    let addresses = [
        format!("/api/data-sets/{set}"),
        check.clone(),
        format!("{check}/report"),
        format!("{check}/form"),
        format!("{check}/events"),
        format!("{check}/board.svg"),
        format!("{check}/figures/1.svg"),
        format!("/api/parts/{part}"),
        form.clone(),
        format!("{form}/log"),
    ];
    for address in &addresses {
        assert_eq!(one.get(address).await.status(), 200, "{address} to its owner");
        assert_eq!(admin.get(address).await.status(), 200, "{address} to the shop");
        assert_eq!(other.get(address).await.status(), 404, "{address} to another customer");
    }
    for (method, address) in [
        (Method::DELETE, check.clone()),
        (Method::POST, format!("{check}/judge")),
        (Method::POST, format!("{check}/retry")),
    ] {
        assert_eq!(other.request(method, &address).send().await.unwrap().status(), 404, "{address}");
    }
    assert_eq!(other.post("/api/checks", &json!({ "data_set": set })).await.status(), 404);
    let stolen = other.post(&format!("/api/parts/{part}/revisions"), &json!({ "name": "B", "data_set": set })).await;
    assert_eq!(stolen.status(), 404);
    let foreign = other.post("/api/parts", &json!({ "number": "X", "title": "X", "customer_id": own })).await;
    assert_eq!(foreign.status(), 403);
    for list in ["/api/data-sets", "/api/parts", "/api/forms"] {
        assert_eq!(one.json(list).await["items"].as_array().unwrap().len(), 1, "{list}");
        assert_eq!(other.json(list).await["items"].as_array().unwrap().len(), 0, "{list}");
    }
    // Whoever sends the same bytes holds the same set, and finds its check done.
    assert_eq!(other.upload_with("one's own").await, set);
    assert_eq!(other.get(&check).await.status(), 200);
    service.stop().await;
}

#[test]
fn no_role_but_the_administrator_sees_to_people_or_deletes() {
    for role in Role::ALL.iter().filter(|r| **r != Role::Administrator) {
        assert!(!role.scopes().contains(&Scope::People) && !role.scopes().contains(&Scope::Erase), "{role:?}");
    }
    assert!(!Role::Script.scopes().contains(&Scope::Release), "a program never sends a form");
}
