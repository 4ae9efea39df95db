//! A line's way from found to clear, over the sockets of the service.

use serde_json::{Value, json};

use crate::on_both;
use crate::support::{Asks, Ground, administrator, person};

on_both!(a_line_goes_from_found_to_clear_and_each_does_what_is_theirs);

async fn acts(asks: &Asks, line: &str, seen: u32, act: Value) -> (u16, Value) {
    let response = asks.post(&format!("{line}/acts"), &json!({ "seen": seen, "act": act })).await;
    (response.status().as_u16(), response.json().await.unwrap())
}

async fn a_line_goes_from_found_to_clear_and_each_does_what_is_theirs(ground: Ground) {
    let service = ground.service().await;
    let admin = administrator(&ground, &service.asks()).await;
    let engineer = person(&admin, "eve", "engineer", None).await;
    let second = person(&admin, "sid", "second-engineer", None).await;
    let sales = person(&admin, "sam", "sales", None).await;
    let quality = person(&admin, "quinn", "quality", None).await;
    let (form, _) = crate::records::form(&engineer).await;
    let form = format!("/api/forms/{form}");
    let whole = engineer.json(&form).await;
    let found = whole["lines"].as_array().unwrap().iter().find(|l| l["rule"] == "tight-gap").unwrap();
    assert_eq!((found["state"].as_str(), found["severity"].as_str()), (Some("found"), Some("stop")));
    let line = format!("{form}/lines/{}", found["number"]);
    let text = found["body"]["versions"][0]["text"].clone();

    let word = json!({ "action": "word", "text": text });
    let (status, problem) = acts(&quality, &line, 1, word.clone()).await;
    assert!(status == 403 && problem["detail"].as_str().unwrap().contains("quality"), "{problem}");
    let (status, done) = acts(&engineer, &line, 1, word.clone()).await;
    assert_eq!((status, done["line"]["state"].as_str()), (200, Some("worded")), "{done}");
    assert_eq!(acts(&second, &line, 1, json!({ "action": "check" })).await.0, 409, "someone else acted in between");
    let (status, problem) = acts(&engineer, &line, 2, json!({ "action": "send" })).await;
    assert!(status == 400 && problem["detail"].as_str().unwrap().contains("second engineer"), "{problem}");
    assert_eq!(acts(&engineer, &line, 2, json!({ "action": "check" })).await.0, 403);
    assert_eq!(acts(&second, &line, 2, json!({ "action": "check" })).await.0, 200);
    assert_eq!(acts(&sales, &line, 3, json!({ "action": "send" })).await.0, 200);
    assert_eq!(acts(&engineer, &line, 4, word).await.0, 409, "what was sent is never edited");

    let link = sales.made(&format!("{form}/links"), &json!({ "made_for": "designer at Tarn Row" })).await;
    let answer = format!("/api/answers/{}/lines/{}", link["word"].as_str().unwrap(), found["number"]);
    let reply = |option: &str| json!({ "seen": 4, "reply": { "option": option, "text": "", "holds": "this-part", "given_by": null } });
    let anyone = service.asks();
    assert_eq!(anyone.post(&answer, &reply("Z")).await.status(), 400, "there is no answer Z");
    // The customer presses twice at once: one answer is kept.
    let (one, two) = (reply("A"), reply("A"));
    let (one, two) = tokio::join!(anyone.post(&answer, &one), anyone.post(&answer, &two));
    let mut both = [one.status().as_u16(), two.status().as_u16()];
    both.sort_unstable();
    assert_eq!(both, [200, 409]);
    let (status, done) = acts(&engineer, &line, 5, json!({ "action": "judge-clear" })).await;
    assert_eq!((status, done["line"]["state"].as_str()), (200, Some("clear")), "{done}");

    let log = engineer.json(&format!("{form}/log?limit=500")).await;
    let states: Vec<(&str, &str)> = log["items"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|e| e["line"] == found["number"])
        .map(|e| (e["from_state"].as_str().unwrap_or(""), e["to_state"].as_str().unwrap_or("")))
        .collect();
    let expected = [
        ("", "found"),
        ("found", "worded"),
        ("worded", "checked"),
        ("checked", "with-customer"),
        ("with-customer", "answered"),
        ("answered", "clear"),
    ];
    assert_eq!(states, expected);
    let gate = sales.json(&format!("{form}/gate")).await;
    assert!(gate["free"] == false && gate["open"].to_string().contains("clear"), "{gate}");
    service.stop().await;
}
