//! `landgap admin`, `landgap backup`, `landgap restore`.

use std::io::{BufRead, IsTerminal};
use std::path::Path;

use super::args::{Admin, AdminAction, Backup};
use crate::fault::{Fault, Kind, Outcome};
use crate::people::Role;
use crate::people::accounts::NewPerson;
use crate::store::Store;

/// Makes an administrator, or gives one a new password.
pub async fn admin(admin: &Admin) -> Outcome<u8> {
    let AdminAction::Create { login, name, kept } = &admin.action;
    let store = Store::open(&kept.places()?).await?;
    let new = NewPerson {
        login: login.clone(),
        name: name.clone().unwrap_or_else(|| login.clone()),
        role: Role::Administrator,
        customer_id: None,
        password: Some(password()?),
    };
    let person = store.make_person(new, "command-line").await?;
    store.db.close().await;
    println!("{} is an administrator now; everyone signs in from here on.", person.login);
    Ok(0)
}

/// The first line of standard input: passwords on the command line would be seen by everyone on the machine.
fn password() -> Outcome<String> {
    if std::io::stdin().is_terminal() {
        eprintln!("Password (12 characters at least; it is shown as you type):");
    }
    let mut line = String::new();
    std::io::stdin()
        .lock()
        .read_line(&mut line)
        .map_err(|e| Fault::new(Kind::Usage, format!("reading the password: {e}.")))?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}

/// Writes a backup; the service may go on meanwhile.
pub async fn backup(backup: &Backup) -> Outcome<u8> {
    let store = Store::open(&backup.kept.places()?).await?;
    let carried = store.back_up(&backup.file).await?;
    store.db.close().await;
    told("backed up to", &backup.file, carried);
    Ok(0)
}

/// Restores a backup into an empty service.
pub async fn restore(restore: &Backup) -> Outcome<u8> {
    let store = Store::open(&restore.kept.places()?).await?;
    let carried = store.restore(&restore.file).await?;
    store.db.close().await;
    told("restored from", &restore.file, carried);
    Ok(0)
}

fn told(what: &str, file: &Path, carried: crate::store::backup::Carried) {
    println!("{} records and {} objects {what} {}", carried.records, carried.objects, file.display());
}
