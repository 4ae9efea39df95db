//! The life of a query: every state, role and action against a table written here in words, and whole journeys.

use landgap_rules::query::life::{
    Act, Action, Actor, Found, Holds, Line, Policy, Recheck, Refusal, Reply, Role, State, Text, TextOption, gate, tally,
};
use landgap_rules::query::page::Answer;
use landgap_rules::query::{Query, QueryOption, Severity};

/// What may be done: action, in which states, leading where, by whom. Written from the rules of the trade: the
/// customer alone answers, the machine alone judges new data, a second engineer checks, scripts never send, quality
/// only reads.
const MAY: &str = "
covered                | found | covered | machine, engineer, second engineer, lead engineer
pulled out             | covered | found | engineer, second engineer, lead engineer
set aside              | found, worded | set aside | engineer, second engineer, lead engineer
picked up              | set aside | found | engineer, second engineer, lead engineer
worded                 | found, worded | worded | engineer, second engineer, lead engineer
checked                | worded | checked | second engineer, lead engineer
handed back            | worded, checked | found | second engineer, lead engineer
sent                   | worded, checked | with customer | engineer, second engineer, lead engineer, sales
answered               | with customer | answered | designer, buyer
answered by telephone  | with customer | answered | engineer, second engineer, lead engineer
judged clear           | answered | clear | engineer, second engineer, lead engineer
judged unclear         | answered | unclear | engineer, second engineer, lead engineer
asked again            | with customer, answered, unclear, still there, worse | worded | engineer, second engineer, lead engineer
decided                | found, worded, checked, with customer, unclear, still there, worse | clear | lead engineer
taken back             | with customer, answered, unclear | taken back | engineer, second engineer, lead engineer
finished               | clear, covered | done | engineer, second engineer, lead engineer, tooling
waits for data         | clear | waiting for data | machine, engineer, second engineer, lead engineer
found gone             | waiting for data | gone | machine
found still there      | waiting for data | still there | machine
found worse            | waiting for data | worse | machine
closed                 | done, gone, taken back, set aside | closed | machine, engineer, second engineer, lead engineer, sales
reopened               | closed, lapsed, taken back, done, gone | found | engineer, second engineer, lead engineer
lapsed                 | found, covered, worded, checked, with customer, answered, unclear, clear, waiting for data, still there, worse | lapsed | machine, lead engineer, sales
";

const POLICY: Policy = Policy { checked_from: None };

fn query(severity: Severity) -> Query {
    let option = |key, text: &str, answer, recommended| QueryOption {
        key,
        text: text.to_owned(),
        answer,
        effect: "Price and delivery stay.".to_owned(),
        recommended,
    };
    Query {
        number: 1,
        rule: "tight-gap",
        severity,
        title: "A gap is tight.".into(),
        what: "Two tracks.".into(),
        why: "They short.".into(),
        layers: vec![],
        measured: None,
        required: None,
        uncertainty: None,
        required_by: None,
        places: vec![],
        reasons: vec![],
        options: vec![
            option('A', "We shave the pour.", Answer::Change, true),
            option('B', "You send corrected data.", Answer::NewData, false),
            option('C', "You accept the gap as drawn, with the price that goes with it.", Answer::Acceptance, false),
            option('D', "You accept the gap as drawn.", Answer::Acceptance, false),
        ],
        surroundings: vec![],
        settled_by: None,
        fingerprint: "f".into(),
    }
}

fn actor(role: Role) -> Actor {
    Actor { name: format!("the {}", role.word()), role }
}

fn line() -> Line {
    Line::found(1, Found::of(&query(Severity::Ask)), "sha256:1", &actor(Role::Machine), 0).expect("the machine finds")
}

fn text(title: &str) -> Box<Text> {
    Box::new(Text { title: title.into(), ..Text::of(&query(Severity::Ask)) })
}

fn reason() -> String {
    "because".into()
}

fn reply(option: char) -> Reply {
    Reply { option: Some(option), text: String::new(), holds: Holds::ThisPart, given_by: Some("I. Brant".into()) }
}

/// An act of each action, with content that does.
fn act(action: Action) -> Act {
    match action {
        Action::Cover => Act::Cover { reason: reason() },
        Action::PullOut => Act::PullOut { reason: reason() },
        Action::SetAside => Act::SetAside { reason: reason() },
        Action::PickUp => Act::PickUp,
        Action::Word => Act::Word { text: text("Reworded") },
        Action::Check => Act::Check,
        Action::HandBack => Act::HandBack { reason: reason() },
        Action::Send => Act::Send,
        Action::Answer => Act::Answer { reply: reply('B') },
        Action::NoteTelephone => Act::NoteTelephone { reply: reply('B') },
        Action::JudgeClear => Act::JudgeClear { decision: String::new(), new_data: false },
        Action::JudgeUnclear => Act::JudgeUnclear { reason: reason() },
        Action::AskAgain => Act::AskAgain { reason: reason(), text: text("Asked again") },
        Action::Decide => Act::Decide { reason: reason() },
        Action::TakeBack => Act::TakeBack { reason: reason() },
        Action::Finish => Act::Finish { reason: reason() },
        Action::AwaitData => Act::AwaitData,
        Action::FindGone => Act::Recheck { verdict: Recheck::Gone, text: String::new() },
        Action::FindStillThere => Act::Recheck { verdict: Recheck::StillThere, text: String::new() },
        Action::FindWorse => Act::Recheck { verdict: Recheck::Worse, text: String::new() },
        Action::Close => Act::Close,
        Action::Reopen => Act::Reopen { reason: reason() },
        Action::Lapse => Act::Lapse { reason: reason() },
    }
}

fn done(line: &mut Line, act: Act, role: Role) {
    let (seen, at) = (line.at_event(), i64::from(line.at_event()) * 3600);
    line.act(act, &actor(role), at, seen, &POLICY).unwrap_or_else(|e| panic!("{e}"));
}

/// A line brought to a state by lawful moves; `answer` is what the customer chose on the way.
fn at(state: State, answer: char) -> Line {
    let mut l = line();
    let e = Role::Engineer;
    let way: Vec<(Act, Role)> = {
        let worded = vec![(act(Action::Word), e)];
        let sent = [worded.clone(), vec![(Act::Send, e)]].concat();
        let answered = [sent.clone(), vec![(Act::Answer { reply: reply(answer) }, Role::Designer)]].concat();
        let clear = [answered.clone(), vec![(act(Action::JudgeClear), e)]].concat();
        let waiting = [clear.clone(), vec![(Act::AwaitData, e)]].concat();
        let then = |way: &Vec<(Act, Role)>, action, role| [way.clone(), vec![(act(action), role)]].concat();
        match state {
            State::Found => vec![],
            State::Covered => vec![(act(Action::Cover), Role::Machine)],
            State::SetAside => vec![(act(Action::SetAside), e)],
            State::Worded => worded,
            State::Checked => then(&worded, Action::Check, Role::SecondEngineer),
            State::WithCustomer => sent,
            State::Answered => answered,
            State::Unclear => then(&answered, Action::JudgeUnclear, e),
            State::Clear => clear,
            State::WaitingForData => waiting,
            State::Done => then(&clear, Action::Finish, Role::Tooling),
            State::Gone => then(&waiting, Action::FindGone, Role::Machine),
            State::StillThere => then(&waiting, Action::FindStillThere, Role::Machine),
            State::Worse => then(&waiting, Action::FindWorse, Role::Machine),
            State::TakenBack => then(&sent, Action::TakeBack, e),
            State::Closed => [then(&sent, Action::TakeBack, e), vec![(Act::Close, e)]].concat(),
            State::Lapsed => then(&sent, Action::Lapse, Role::Sales),
        }
    };
    way.into_iter().for_each(|(act, role)| done(&mut l, act, role));
    assert_eq!(l.state, state);
    l
}

fn needs_data(state: State, action: Action) -> bool {
    let waits = [State::WaitingForData, State::Gone, State::StillThere, State::Worse].contains(&state);
    waits || (action == Action::AwaitData && state == State::Clear)
}

#[test]
fn every_state_role_and_action_does_what_the_table_says_and_nothing_else() {
    let rows: Vec<Vec<&str>> =
        MAY.lines().filter(|l| !l.is_empty()).map(|l| l.split('|').map(str::trim).collect()).collect();
    assert_eq!(rows.len(), Action::ALL.len(), "every action has its row");
    let mut tried = 0;
    for action in Action::ALL {
        let row = rows.iter().find(|r| r[0] == action.word()).unwrap_or_else(|| panic!("{}", action.word()));
        let has = |cell: &str, word: &str| cell.split(", ").any(|w| w == word);
        for state in State::ALL {
            let before = at(state, if needs_data(state, action) { 'B' } else { 'A' });
            for role in Role::ALL {
                let mut l = before.clone();
                let seen = l.at_event();
                let outcome = l.act(act(action), &actor(role), 99, seen, &POLICY).map(|e| (e.from, e.to));
                let may = has(row[1], state.word()) && has(row[3], role.word());
                let what = format!("{} in {} by {}", action.word(), state.word(), role.word());
                if may {
                    assert_eq!(outcome.as_ref().map(|o| o.1.word()), Ok(row[2]), "{what}");
                    assert_eq!((l.log.len(), l.state.word()), (before.log.len() + 1, row[2]), "{what}");
                    assert_eq!(&l.log[..before.log.len()], &before.log[..], "{what}: the log is only added to");
                } else {
                    assert!(matches!(outcome, Err(Refusal::Role(..) | Refusal::State(..))), "{what}: {outcome:?}");
                    assert_eq!(l, before, "{what}: a refusal changes nothing");
                }
                tried += 1;
            }
        }
    }
    assert_eq!(tried, 23 * 17 * 10);
}

#[test]
fn what_was_sent_is_never_edited_only_followed() {
    let mut l = at(State::Unclear, 'A');
    let first = l.versions[0].clone();
    assert!(first.sent.is_some());
    done(&mut l, act(Action::AskAgain), Role::Engineer);
    done(&mut l, Act::Word { text: text("Once more") }, Role::Engineer);
    assert_eq!((l.versions.len(), &l.versions[0]), (2, &first));
    assert_eq!((l.versions[1].number, l.versions[1].text.title.as_str(), l.versions[1].sent), (2, "Once more", None));
    assert_eq!((l.reply.clone(), l.decision.clone()), (None, None), "the old reply answers the old version only");
    done(&mut l, Act::Send, Role::Sales);
    assert!(l.versions[1].sent.is_some());
}

#[test]
fn two_engineers_on_one_line_do_not_overwrite_each_other() {
    let mut l = line();
    let seen = l.at_event();
    let mut word = |title: &str, seen| {
        l.act(Act::Word { text: text(title) }, &actor(Role::Engineer), 1, seen, &POLICY).map(|e| e.number)
    };
    assert_eq!(word("Mine", seen), Ok(2));
    assert_eq!(word("Yours", seen), Err(Refusal::Changed(2)));
    assert_eq!(word("Yours, seen", 2), Ok(3));
}

#[test]
fn reasons_are_asked_for_and_kept() {
    for (state, act) in [
        (State::Found, Act::SetAside { reason: " ".into() }),
        (State::Answered, Act::JudgeUnclear { reason: String::new() }),
        (State::WithCustomer, Act::TakeBack { reason: String::new() }),
    ] {
        let mut l = at(state, 'A');
        let (action, seen) = (act.action(), l.at_event());
        let refused = l.act(act, &actor(Role::Engineer), 1, seen, &POLICY).cloned();
        assert_eq!(refused, Err(Refusal::Reason(action)));
    }
    let l = at(State::TakenBack, 'A');
    assert_eq!(l.log.last().map(|e| e.text.as_str()), Some("because"));
}

#[test]
fn a_stop_is_seen_by_a_second_engineer_before_it_is_sent() {
    let stop = query(Severity::Stop);
    let mut l = Line::found(1, Found::of(&stop), "sha256:1", &actor(Role::Script), 0).expect("scripts find");
    let policy = Policy::default();
    let mut go = |act: Act, role: Role| {
        let seen = l.at_event();
        l.act(act, &actor(role), 1, seen, &policy).map(|_| ()).map_err(|e| e.to_string())
    };
    go(act(Action::Word), Role::Engineer).unwrap();
    assert!(go(Act::Send, Role::Engineer).unwrap_err().contains("second engineer"));
    go(Act::Check, Role::SecondEngineer).unwrap();
    go(Act::Send, Role::Engineer).unwrap();
}

#[test]
fn a_buyer_answers_what_is_commercial_and_forwards_the_rest() {
    let tried = |reply: Reply| {
        let mut l = at(State::WithCustomer, 'A');
        let seen = l.at_event();
        l.act(Act::Answer { reply }, &actor(Role::Buyer), 1, seen, &POLICY).map(|_| ()).map_err(|e| e.to_string())
    };
    assert!(tried(reply('C')).is_ok() && tried(reply('B')).is_ok());
    assert!(tried(reply('A')).unwrap_err().contains("designer"));
    assert!(tried(reply('D')).unwrap_err().contains("designer"));
    assert!(tried(reply('Z')).unwrap_err().contains("no answer Z"));
    assert!(tried(Reply { text: "Just build it.".into(), ..Reply::default() }).unwrap_err().contains("designer"));
    assert!(tried(Reply::default()).unwrap_err().contains("Choose"));
}

#[test]
fn an_answer_in_own_words_needs_a_decision_in_words_and_a_useless_one_goes_back() {
    let mut l = at(State::WithCustomer, 'A');
    done(&mut l, Act::Answer { reply: Reply { text: "As per data".into(), ..Reply::default() } }, Role::Designer);
    let seen = l.at_event();
    let clear = |decision: &str| Act::JudgeClear { decision: decision.into(), new_data: true };
    let refused = l.act(clear(""), &actor(Role::Engineer), 1, seen, &POLICY).cloned();
    assert!(matches!(refused, Err(Refusal::Content(_))));
    let mut useless = l.clone();
    done(
        &mut useless,
        Act::JudgeUnclear { reason: "It does not say which of the two is right.".into() },
        Role::Engineer,
    );
    done(&mut useless, act(Action::AskAgain), Role::Engineer);
    assert_eq!((useless.state, useless.latest().map(|v| v.number)), (State::Worded, Some(2)));
    done(&mut l, clear("New data with the land moved"), Role::Engineer);
    let decision = l.decision.clone().expect("a decision");
    assert_eq!((decision.by.as_str(), decision.new_data), ("the designer", true));
    let seen = l.at_event();
    let finish = l.act(act(Action::Finish), &actor(Role::Tooling), 1, seen, &POLICY).cloned();
    assert!(matches!(finish, Err(Refusal::Content(_))), "what waits for data is not finished by hand");
}

#[test]
fn a_telephone_answer_names_who_gave_it_and_stays_marked() {
    let mut l = at(State::WithCustomer, 'A');
    let nameless = Act::NoteTelephone { reply: Reply { given_by: None, ..reply('A') } };
    let seen = l.at_event();
    assert!(matches!(l.act(nameless, &actor(Role::Engineer), 1, seen, &POLICY).cloned(), Err(Refusal::Content(_))));
    done(&mut l, Act::NoteTelephone { reply: reply('A') }, Role::Engineer);
    assert!(
        l.by_telephone && l.log.last().is_some_and(|e| e.text.contains("by telephone") && e.text.contains("I. Brant"))
    );
    done(&mut l, act(Action::JudgeClear), Role::Engineer);
    let decision = l.decision.expect("a decision");
    assert_eq!((decision.by.as_str(), decision.by_telephone, decision.option), ("I. Brant", true, Some('A')));
}

#[test]
fn a_part_is_free_to_tool_only_when_no_line_is_open() {
    let answer = |s: State| if s == State::Done { 'A' } else { 'B' };
    let open: Vec<State> = State::ALL.into_iter().filter(|s| !gate(&[at(*s, answer(*s))]).free).collect();
    let expected = [
        State::Found,
        State::Worded,
        State::Checked,
        State::WithCustomer,
        State::Answered,
        State::Unclear,
        State::Clear,
        State::WaitingForData,
        State::StillThere,
        State::Worse,
    ];
    assert_eq!(open, expected);
    let lines = [at(State::Closed, 'A'), at(State::Clear, 'A'), at(State::Done, 'A')];
    let closed = gate(&lines);
    assert_eq!((closed.free, closed.open.len(), closed.open[0].state), (false, 1, State::Clear));
    assert!(gate(&[]).free);
    let mut note =
        Line::found(2, Found::of(&query(Severity::Note)), "sha256:1", &actor(Role::Machine), 0).expect("found");
    assert!(!gate(std::slice::from_ref(&note)).free);
    done(&mut note, act(Action::Word), Role::Engineer);
    done(&mut note, Act::Send, Role::Engineer);
    assert!(gate(std::slice::from_ref(&note)).free, "a note that was told keeps nothing");
}

#[test]
fn times_and_rates_come_from_the_logs() {
    // Each step of `done` takes an hour: found 0, worded 1, sent 2, answered 3, judged 4 …
    let lines =
        [at(State::Unclear, 'A'), at(State::TakenBack, 'A'), at(State::Done, 'D'), at(State::WithCustomer, 'A')];
    let t = tally(&lines, 12 * 3600);
    assert_eq!((t.sent, t.rounds, t.taken_back, t.unclear, t.as_drawn), (4, 1, 1, 1, 1));
    assert_eq!(t.answer_hours, Some(1.0));
    assert_eq!(t.hold_hours, 10.0, "from hour 2 to hour 12, overlaps once");
}

#[test]
fn a_line_survives_storage() {
    for state in State::ALL {
        let l = at(state, if needs_data(state, Action::Word) { 'B' } else { 'A' });
        let text = serde_json::to_string(&l).expect("json");
        assert_eq!(serde_json::from_str::<Line>(&text).expect("a line"), l);
    }
}

#[test]
fn words_of_a_line_without_two_answers_are_refused() {
    let one = |keys: &[char]| {
        let options = keys.iter().map(|key| TextOption {
            key: *key,
            text: "x".into(),
            effect: String::new(),
            new_data: false,
            accepts: false,
            commercial: false,
            recommended: false,
        });
        Box::new(Text { title: "t".into(), what: "w".into(), why: String::new(), options: options.collect() })
    };
    let mut l = line();
    for keys in [&['A'][..], &['A', 'A']] {
        let seen = l.at_event();
        let refused = l.act(Act::Word { text: one(keys) }, &actor(Role::Engineer), 1, seen, &POLICY).cloned();
        assert!(matches!(refused, Err(Refusal::Content(_))));
    }
}
