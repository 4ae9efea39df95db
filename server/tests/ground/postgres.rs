//! A real PostgreSQL of this test's own, ended with it.

use std::os::unix::fs::chown;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;

struct Server {
    socket: PathBuf,
    /// The shell that runs the server until this pipe ends, however this process ends.
    _shell: Child,
}

static SERVER: OnceLock<Option<Server>> = OnceLock::new();

fn programs() -> Option<PathBuf> {
    let mut places: Vec<PathBuf> =
        std::env::var_os("PATH").map(|p| std::env::split_paths(&p).collect()).unwrap_or_default();
    for entry in std::fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten() {
        places.push(entry.path().join("bin"));
    }
    places.into_iter().find(|p| p.join("initdb").exists() && p.join("postgres").exists())
}

/// PostgreSQL refuses to run as root.
fn as_nobody(command: &mut Command, is_root: bool) -> &mut Command {
    if is_root { command.uid(65534).gid(65534) } else { command }
}

fn start(programs: &Path) -> Server {
    let root = std::env::temp_dir().join(format!("landgap-postgres-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&root);
    std::fs::create_dir_all(&root).unwrap();
    let is_root = std::fs::metadata("/proc/self").is_ok_and(|m| std::os::unix::fs::MetadataExt::uid(&m) == 0);
    if is_root {
        chown(&root, Some(65534), Some(65534)).unwrap();
    }
    let data = root.join("data");
    let made = as_nobody(&mut Command::new(programs.join("initdb")), is_root)
        .args(["-U", "landgap", "-A", "trust", "--no-sync", "-E", "UTF8", "--locale=C", "-D"])
        .arg(&data)
        .current_dir(&root)
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let script = format!(
        "'{0}/postgres' -D '{1}' -k '{2}' -c listen_addresses= -c max_connections=300 >/dev/null 2>&1 & read x; kill -QUIT $!; wait $!; rm -rf '{2}'",
        programs.display(),
        data.display(),
        root.display()
    );
    let shell = as_nobody(Command::new("sh").args(["-c", &script]), is_root)
        .current_dir(&root)
        .stdin(Stdio::piped())
        .process_group(0)
        .spawn()
        .unwrap();
    for _ in 0..600 {
        if root.join(".s.PGSQL.5432").exists() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    Server { socket: root, _shell: shell }
}

fn server() -> Option<&'static Server> {
    let server = SERVER.get_or_init(|| programs().map(|p| start(&p)));
    if server.is_none() {
        println!("skipped on PostgreSQL: its programs initdb and postgres are not on this machine");
    }
    server.as_ref()
}

/// A fresh database; none where PostgreSQL is not on the machine.
pub async fn database(name: &str) -> Option<String> {
    let socket = tokio::task::spawn_blocking(|| server().map(|s| s.socket.display().to_string())).await.unwrap()?;
    sqlx::any::install_default_drivers();
    let to = |name: &str| format!("postgres://landgap@localhost/{name}?host={socket}");
    let mut tries = 0;
    let pool = loop {
        match sqlx::AnyPool::connect(&to("postgres")).await {
            Ok(pool) => break pool,
            Err(e) if tries > 100 => panic!("{e}"),
            Err(_) => tokio::time::sleep(std::time::Duration::from_millis(100)).await,
        }
        tries += 1;
    };
    sqlx::query(sqlx::AssertSqlSafe(format!("CREATE DATABASE {name}"))).execute(&pool).await.unwrap();
    pool.close().await;
    Some(to(name))
}
