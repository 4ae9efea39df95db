//! Where uploads are received. Each process has a folder of its own, and clears those of processes that are gone.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use crate::fault::{Fault, Outcome};

const LOCK: &str = "in-use";

/// The folder of this process.
#[derive(Clone, Debug)]
pub struct Scratch {
    inner: Arc<Inner>,
}

#[derive(Debug)]
struct Inner {
    path: PathBuf,
    counter: AtomicU64,
    /// Held as long as the process lives; the system lets go of it whatever happens.
    _lock: File,
}

impl Drop for Inner {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.path);
    }
}

/// A folder to write in, gone with everything in it at the end.
#[derive(Debug)]
pub struct Aside {
    /// The folder.
    pub path: PathBuf,
}

impl Drop for Aside {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.path);
    }
}

impl Scratch {
    /// A folder of this process below `root`.
    pub fn open(root: &Path) -> Outcome<Self> {
        let path = root.join(super::fresh_id());
        fs::create_dir_all(&path).map_err(|e| Fault::storage(path.display(), &e))?;
        let file = path.join(LOCK);
        let lock = File::create(&file).map_err(|e| Fault::storage(file.display(), &e))?;
        lock.lock().map_err(|e| Fault::storage(file.display(), &e))?;
        clear(root, &path);
        Ok(Self { inner: Arc::new(Inner { path, counter: AtomicU64::new(0), _lock: lock }) })
    }

    /// A fresh folder.
    pub fn aside(&self) -> Outcome<Aside> {
        let number = self.inner.counter.fetch_add(1, Ordering::Relaxed);
        let path = self.inner.path.join(number.to_string());
        fs::create_dir(&path).map_err(|e| Fault::storage(path.display(), &e))?;
        Ok(Aside { path })
    }
}

/// Removes the folders whose process is gone: their lock can be taken. One without a lock is being made.
fn clear(root: &Path, own: &Path) {
    for entry in fs::read_dir(root).into_iter().flatten().flatten() {
        let path = entry.path();
        if path == own {
            continue;
        }
        if File::open(path.join(LOCK)).is_ok_and(|lock| lock.try_lock().is_ok()) {
            let _ = fs::remove_dir_all(path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_process_left_is_cleared_and_what_another_uses_stays() {
        let root = std::env::temp_dir().join(format!("landgap-scratch-{}", std::process::id()));
        let _ = fs::remove_dir_all(&root);
        let used = Scratch::open(&root).unwrap();
        let part = used.aside().unwrap();
        let left = root.join("left");
        fs::create_dir(&left).unwrap();
        fs::write(left.join(LOCK), b"").unwrap();
        let other = Scratch::open(&root).unwrap();
        assert!(part.path.exists() && !left.exists());
        drop((part, used, other));
        assert_eq!(fs::read_dir(&root).unwrap().count(), 0);
        fs::remove_dir_all(&root).unwrap();
    }
}
