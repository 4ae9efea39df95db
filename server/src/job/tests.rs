use std::path::PathBuf;
use std::sync::Arc;

use landgap_rules::check::InputFile;
use serde_json::json;

use super::desk::{AT_WORK, Desk, WAITING};
use super::{State, Store};
use crate::fault::Kind;
use crate::intake::DataSet;

struct Folder(PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn desk(name: &str) -> (Folder, Arc<Desk>, String) {
    let path = std::env::temp_dir().join(format!("landgap-desk-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&path);
    let store = Store::open(&path).unwrap();
    let bytes = b"%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,1.0*%\nD10*\nX0Y0D03*\nM02*\n".to_vec();
    let set = DataSet::of(vec![InputFile { path: "top.gtl".to_owned(), bytes }]);
    store.keep_set(&set).unwrap();
    (Folder(path), Desk::new(store, landgap_parser::Limits::default()), set.id)
}

fn request(set: &str, quantity: usize) -> super::CheckRequest {
    serde_json::from_value(json!({ "data_set": set, "order": { "quantity": quantity } })).unwrap()
}

#[tokio::test]
async fn the_queue_is_bounded_and_asking_twice_is_one_check() {
    let (_folder, desk, set) = desk("busy");
    let _turns = desk.at_work.clone().acquire_many_owned(AT_WORK as u32).await.unwrap();
    for quantity in 1..=AT_WORK + WAITING {
        desk.take(request(&set, quantity)).unwrap();
    }
    assert_eq!(desk.take(request(&set, 9999)).unwrap_err().kind, Kind::Busy);
    let known = desk.take(request(&set, 1)).unwrap();
    assert_eq!(desk.known(&known).unwrap().progress.state, State::Queued);
    assert_eq!(desk.part(&known, "report.json", "").unwrap_err().kind, Kind::NotReady);
}

#[tokio::test]
async fn a_cancelled_check_never_counts_as_done() {
    let (_folder, desk, set) = desk("cancel");
    let turns = desk.at_work.clone().acquire_many_owned(AT_WORK as u32).await.unwrap();
    let id = desk.take(request(&set, 1)).unwrap();
    let mut progress = desk.job(&id).unwrap().progress();
    desk.cancel(&id).unwrap();
    drop(turns);
    let end = progress.wait_for(|p| p.state.is_final()).await.unwrap().state;
    assert_eq!(end, State::Cancelled);
    assert_eq!(desk.part(&id, "report.json", "").unwrap_err().kind, Kind::Cancelled);
    // Asked for again, it is done after all.
    assert_eq!(desk.take(request(&set, 1)).unwrap(), id);
    let mut progress = desk.job(&id).unwrap().progress();
    assert_eq!(progress.wait_for(|p| p.state.is_final()).await.unwrap().state, State::Done);
    assert!(!desk.part(&id, "report.json", "").unwrap().is_empty());
}

#[tokio::test]
async fn data_that_changed_on_the_disk_are_refused() {
    let (folder, desk, set) = desk("changed");
    let hex = set.strip_prefix("sha256:").unwrap();
    let stored = folder.0.join("sets").join(hex);
    let blob =
        std::fs::read_dir(&stored).unwrap().map(|e| e.unwrap().path()).find(|p| p.extension().is_none()).unwrap();
    std::fs::write(blob, b"G04 other*\n").unwrap();
    let id = desk.take(request(&set, 1)).unwrap();
    let mut progress = desk.job(&id).unwrap().progress();
    let end = progress.wait_for(|p| p.state.is_final()).await.unwrap().clone();
    assert_eq!(end.state, State::Failed);
    assert!(end.problem.unwrap().detail.contains("has changed"));
}

#[test]
fn what_an_earlier_run_left_unfinished_is_cleared() {
    let (folder, desk, _) = desk("left");
    let left = desk.store.aside().unwrap();
    std::fs::write(left.path.join("part-0"), b"half").unwrap();
    std::mem::forget(left);
    Store::open(&folder.0).unwrap();
    assert_eq!(std::fs::read_dir(folder.0.join("unfinished")).unwrap().count(), 0);
}
