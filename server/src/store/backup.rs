//! Backup and restore: one tar file with every record as JSON lines and every object, the same for SQLite and
//! PostgreSQL, a folder and S3, so that it also carries a service from one to the other.

use std::fs::File;
use std::io::Read;
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use sqlx::{AssertSqlSafe, Row};

use super::data_sets::whole_id;
use super::database::{Dialect, Tx};
use super::tables::{Holds, Table, tables};
use super::{Manifest, Store, now};
use crate::fault::{Fault, Kind, Outcome};
use crate::job::{Progress, State};

/// Number of this form of backup.
const FORMAT: u32 = 1;
/// Records that mean nothing elsewhere or later.
const LEFT_OUT: [&str; 3] = ["session", "repeated_request", "erasing"];

/// What stands at the head of a backup.
#[derive(Debug, Serialize, Deserialize)]
pub struct Head {
    /// Number of its form.
    format: u32,
    /// Version of the program that made it.
    landgap: String,
    /// In milliseconds since 1970.
    made_at: i64,
    /// Objects in it.
    objects: usize,
}

/// What was carried.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Carried {
    /// Records.
    pub records: usize,
    /// Objects.
    pub objects: usize,
}

fn failed(path: &Path) -> impl Fn(std::io::Error) -> Fault {
    let shown = path.display().to_string();
    move |e| Fault::storage(&shown, &e)
}

fn wrong(what: &str) -> Fault {
    Fault::new(Kind::Storage, format!("The backup cannot be used: {what}."))
}

impl Store {
    /// Writes a backup while the service goes on: all records of one moment, and the objects they name.
    pub async fn back_up(&self, path: &Path) -> Outcome<Carried> {
        let failed = failed(path);
        let mut name = path.file_name().unwrap_or_default().to_owned();
        name.push(".part");
        let part = path.with_file_name(name);
        let file = File::options().write(true).create(true).truncate(true).mode(0o600).open(&part).map_err(&failed)?;
        let mut tar = tar::Builder::new(std::io::BufWriter::new(file));
        let mut carried = Carried::default();
        let (records, keys) = self.all_records().await?;
        let head =
            Head { format: FORMAT, landgap: crate::wire::VERSION.to_owned(), made_at: now(), objects: keys.len() };
        add(&mut tar, "backup.json", serde_json::to_string(&head).unwrap_or_default().as_bytes()).map_err(&failed)?;
        for (name, lines, count) in &records {
            add(&mut tar, &format!("records/{name}.jsonl"), lines.as_bytes()).map_err(&failed)?;
            carried.records += count;
        }
        for key in keys {
            let bytes = self.objects.get(&key).await?;
            add(&mut tar, &format!("objects/{key}"), &bytes).map_err(&failed)?;
            carried.objects += 1;
        }
        let file = tar
            .into_inner()
            .and_then(|b| b.into_inner().map_err(std::io::IntoInnerError::into_error))
            .map_err(&failed)?;
        file.sync_all().map_err(&failed)?;
        std::fs::rename(&part, path).map_err(&failed)?;
        Ok(carried)
    }

    /// The records of one moment as JSON lines by table, and the keys of the objects they name.
    async fn all_records(&self) -> Outcome<(Vec<(&'static str, String, usize)>, Vec<String>)> {
        let begin = match self.db.dialect() {
            Dialect::Sqlite => "BEGIN",
            Dialect::Postgres => "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
        };
        let mut tx = self.db.pool().begin_with(begin).await?;
        let mut records = Vec::new();
        let mut keys = Vec::new();
        for table in tables().into_iter().filter(|t| !LEFT_OUT.contains(&t.name)) {
            let columns: Vec<&str> = table.columns.iter().map(|c| c.0).collect();
            let statement = format!("SELECT {} FROM {}", columns.join(", "), table.name);
            let rows = sqlx::query(AssertSqlSafe(statement)).fetch_all(&mut *tx).await?;
            let mut lines = String::new();
            for row in &rows {
                let mut record = Map::new();
                for (index, (name, holds)) in table.columns.iter().enumerate() {
                    let value = match holds {
                        Holds::Text => row.try_get::<Option<String>, _>(index)?.map(Value::from),
                        Holds::Number => row.try_get::<Option<i64>, _>(index)?.map(Value::from),
                    };
                    record.insert((*name).to_owned(), value.unwrap_or(Value::Null));
                }
                keys.extend(record.get("object").and_then(Value::as_str).map(str::to_owned));
                lines += &serde_json::to_string(&record).unwrap_or_default();
                lines.push('\n');
            }
            records.push((table.name, lines, rows.len()));
        }
        tx.rollback().await?;
        Ok((records, keys))
    }

    /// Restores a backup into an empty service, and checks that every data set and the audit log are whole.
    pub async fn restore(&self, path: &Path) -> Outcome<Carried> {
        for statement in
            ["SELECT 1 FROM person LIMIT 1", "SELECT 1 FROM data_set LIMIT 1", "SELECT 1 FROM audit LIMIT 1"]
        {
            if sqlx::query(statement).fetch_optional(self.db.pool()).await?.is_some() {
                return Err(Fault::new(
                    Kind::Usage,
                    "A backup is restored into an empty service; this one holds something already.",
                ));
            }
        }
        let failed = failed(path);
        let mut tar = tar::Archive::new(std::io::BufReader::new(File::open(path).map_err(&failed)?));
        let mut carried = Carried::default();
        let mut expected = None;
        let mut tx = self.db.write().await?;
        sqlx::query("DELETE FROM audit_head").execute(&mut *tx).await?;
        for entry in tar.entries().map_err(&failed)? {
            let mut entry = entry.map_err(&failed)?;
            let name = entry.path().map_err(&failed)?.to_string_lossy().into_owned();
            let mut bytes = Vec::new();
            entry.read_to_end(&mut bytes).map_err(&failed)?;
            if name == "backup.json" {
                let head: Head = serde_json::from_slice(&bytes).map_err(|e| wrong(&e.to_string()))?;
                if head.format != FORMAT {
                    return Err(wrong(&format!("its form is {}, and this program knows form {FORMAT}", head.format)));
                }
                expected = Some(head.objects);
            } else if let Some(table) = name.strip_prefix("records/").and_then(|n| n.strip_suffix(".jsonl")) {
                carried.records += fill(&mut tx, table, &bytes).await?;
            } else if let Some(key) = name.strip_prefix("objects/") {
                self.objects.put(key, vec![bytes.into()]).await?;
                carried.objects += 1;
            }
        }
        if expected != Some(carried.objects) {
            return Err(wrong("it is not whole"));
        }
        // What was at work then is not at work now.
        sqlx::query(
            "UPDATE board_check SET state = 'queued', progress = $1, worker = NULL, due_at = 0 WHERE state = 'running'",
        )
        .bind(serde_json::to_string(&Progress::of(State::Queued)).unwrap_or_default())
        .execute(&mut *tx)
        .await?;
        tx.commit().await?;
        self.verify().await?;
        Ok(carried)
    }

    /// Whether every data set is what it was when it was sent, and the audit log has no gap.
    pub async fn verify(&self) -> Outcome<usize> {
        self.audit_verified().await?;
        let rows = sqlx::query("SELECT id, manifest FROM data_set").fetch_all(self.db.pool()).await?;
        for row in &rows {
            let id = whole_id(&row.try_get::<String, _>(0)?)?;
            let manifest: Manifest =
                serde_json::from_str(&row.try_get::<String, _>(1)?).map_err(|e| wrong(&format!("{id}: {e}")))?;
            manifest.unpack(&self.packed_set(&id).await?)?;
        }
        Ok(rows.len())
    }
}

fn add(tar: &mut tar::Builder<std::io::BufWriter<File>>, name: &str, bytes: &[u8]) -> std::io::Result<()> {
    let mut header = tar::Header::new_gnu();
    header.set_size(bytes.len() as u64);
    header.set_mode(0o600);
    header.set_cksum();
    tar.append_data(&mut header, name, bytes)
}

/// Fills a table from JSON lines.
async fn fill(tx: &mut Tx, name: &str, bytes: &[u8]) -> Outcome<usize> {
    let known: Vec<Table> = tables();
    let table = known
        .iter()
        .find(|t| t.name == name && !LEFT_OUT.contains(&t.name))
        .ok_or_else(|| wrong(&format!("it has records of {name:?}, which this program does not know")))?;
    let mut count = 0;
    for line in bytes.split(|b| *b == b'\n').filter(|l| !l.is_empty()) {
        let record: Map<String, Value> = serde_json::from_slice(line).map_err(|e| wrong(&format!("{name}: {e}")))?;
        // An older backup lacks columns that came later: they take their defaults.
        let columns: Vec<_> = table.columns.iter().filter(|c| record.contains_key(c.0)).collect();
        let names: Vec<&str> = columns.iter().map(|c| c.0).collect();
        let places: Vec<String> = (1..=columns.len()).map(|n| format!("${n}")).collect();
        let statement = format!("INSERT INTO {name} ({}) VALUES ({})", names.join(", "), places.join(", "));
        let mut query = sqlx::query(AssertSqlSafe(statement));
        for (column, holds) in columns {
            let value = record.get(*column);
            query = match holds {
                Holds::Text => query.bind(value.and_then(Value::as_str).map(str::to_owned)),
                Holds::Number => query.bind(value.and_then(Value::as_i64)),
            };
        }
        query.execute(&mut **tx).await?;
        count += 1;
    }
    Ok(count)
}
