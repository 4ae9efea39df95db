//! The database: one pool over SQLite or PostgreSQL, its migrations, and the few words in which the two differ.

use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use sqlx::any::{AnyConnectOptions, AnyPoolOptions};
use sqlx::migrate::{Migration, MigrationType, Migrator};
use sqlx::{Any, AnyPool, AssertSqlSafe, Executor, SqlSafeStr, Transaction};

use crate::fault::{Fault, Kind, Outcome};

/// The pool and which database it leads to.
#[derive(Clone, Debug)]
pub struct Database {
    pool: AnyPool,
    dialect: Dialect,
}

/// Which database it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dialect {
    /// A file on this machine.
    Sqlite,
    /// A server that several processes share.
    Postgres,
}

/// A transaction that writes.
pub type Tx = Transaction<'static, Any>;

/// The steps of the tables' history, in order; a step that was released is never changed.
const STEPS: &[(i64, &str, &str, &str)] = &[
    (1, "ground", include_str!("../../migrations/0001_ground.sql"), include_str!("../../migrations/0001_ground.sql")),
    (
        2,
        "append only",
        include_str!("../../migrations/0002_append_only_sqlite.sql"),
        include_str!("../../migrations/0002_append_only_postgres.sql"),
    ),
];

/// The steps as SQLite takes them.
pub(super) fn steps_for_sqlite() -> impl Iterator<Item = &'static str> {
    STEPS.iter().map(|s| s.2)
}

/// Set on every connection to SQLite: a commit is on the disk before it counts, and what is deleted is wiped.
const SQLITE_SET_UP: &str = "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA busy_timeout = 10000; \
PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON;";

/// Connections of one process.
const CONNECTIONS: u32 = 8;
/// How long a request waits for one.
const PATIENCE: Duration = Duration::from_secs(10);

/// Milliseconds since 1970.
#[must_use]
pub fn now() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
}

impl Database {
    /// The database in a file, made where there is none.
    pub async fn open_file(path: &Path) -> Outcome<Self> {
        let shown = path.to_str().ok_or_else(|| {
            Fault::new(Kind::Storage, format!("{}: the path of the database must be Unicode text.", path.display()))
        })?;
        let escaped = shown.replace('%', "%25").replace('?', "%3F").replace('#', "%23");
        Self::open(&format!("sqlite://{escaped}?mode=rwc")).await
    }

    /// The database at an address that begins with `postgres://` or `sqlite://`.
    pub async fn open(url: &str) -> Outcome<Self> {
        sqlx::any::install_default_drivers();
        let dialect = if url.starts_with("sqlite:") {
            Dialect::Sqlite
        } else if url.starts_with("postgres:") || url.starts_with("postgresql:") {
            Dialect::Postgres
        } else {
            return Err(Fault::new(
                Kind::Usage,
                "--database: expected an address that begins with postgres:// or sqlite://.",
            ));
        };
        let options: AnyConnectOptions =
            url.parse().map_err(|_| Fault::new(Kind::Usage, "--database: the address cannot be understood."))?;
        let pool = AnyPoolOptions::new()
            .max_connections(CONNECTIONS)
            .acquire_timeout(PATIENCE)
            .after_connect(move |connection, _| {
                Box::pin(async move {
                    if dialect == Dialect::Sqlite {
                        connection.execute(SQLITE_SET_UP).await?;
                    }
                    Ok(())
                })
            })
            .connect_with(options)
            .await?;
        let database = Self { pool, dialect };
        database.migrate().await?;
        Ok(database)
    }

    async fn migrate(&self) -> Outcome<()> {
        let steps = STEPS.iter().map(|(version, name, sqlite, postgres)| {
            let sql = match self.dialect {
                Dialect::Sqlite => *sqlite,
                Dialect::Postgres => *postgres,
            };
            Migration::new(*version, (*name).into(), MigrationType::Simple, sql.into_sql_str(), false)
        });
        Migrator::with_migrations(steps.collect()).run(&self.pool).await.map_err(|e| {
            Fault::new(
                Kind::Storage,
                format!("Bringing the database up to date: {e}. A newer program may have used it already."),
            )
        })
    }

    /// The pool, for reading and for single statements.
    #[must_use]
    pub const fn pool(&self) -> &AnyPool {
        &self.pool
    }

    /// Which database it is.
    #[must_use]
    pub const fn dialect(&self) -> Dialect {
        self.dialect
    }

    /// Begins a transaction that writes. SQLite takes its lock at once: one that begins by reading
    /// could not wait for its turn later.
    pub async fn write(&self) -> Outcome<Tx> {
        let begin = match self.dialect {
            Dialect::Sqlite => "BEGIN IMMEDIATE",
            Dialect::Postgres => "BEGIN",
        };
        Ok(self.pool.begin_with(begin).await?)
    }

    /// The statement with what the databases say differently: `{now}` is the database's own clock in
    /// milliseconds, `{skip}` passes over rows another worker is taking.
    #[must_use]
    pub fn said(&self, statement: &'static str) -> AssertSqlSafe<String> {
        let (now, skip) = match self.dialect {
            Dialect::Sqlite => ("CAST((julianday('now') - 2440587.5) * 86400000 AS BIGINT)", ""),
            Dialect::Postgres => {
                ("CAST(EXTRACT(EPOCH FROM clock_timestamp()) * 1000 AS BIGINT)", "FOR UPDATE SKIP LOCKED")
            }
        };
        AssertSqlSafe(statement.replace("{now}", now).replace("{skip}", skip))
    }

    /// Lets go of every connection; SQLite then folds its log into the file.
    pub async fn close(&self) {
        self.pool.close().await;
    }

    /// Folds SQLite's log into the file and empties it, so that what was deleted is nowhere any more.
    pub async fn fold(&self) -> Outcome<()> {
        if self.dialect == Dialect::Sqlite {
            sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").fetch_all(&self.pool).await?;
        }
        Ok(())
    }
}

impl From<sqlx::Error> for Fault {
    fn from(error: sqlx::Error) -> Self {
        use sqlx::Error as E;
        let kind = match &error {
            E::PoolTimedOut | E::PoolClosed | E::Io(_) | E::Tls(_) | E::WorkerCrashed => Kind::Unavailable,
            E::Database(told) if told.code().is_some_and(|code| passes(&code)) => Kind::Unavailable,
            _ => Kind::Storage,
        };
        // The words of the database may quote values; they go to the log, not to whoever asked.
        tracing::error!("the database: {error}");
        let told = if kind == Kind::Unavailable { "it did not answer in time" } else { "it refused a statement" };
        Self::new(kind, format!("The database: {told}; the log of the service says more."))
    }
}

/// Whether what a database says passes by itself. PostgreSQL, appendix A of its manual: connection (08),
/// rolled back (40), resources (53), operator (57). SQLite, "result codes": busy 5, locked 6, disk 10, full 13.
fn passes(code: &str) -> bool {
    match code.parse::<u32>() {
        Ok(number) if code.len() < 5 => matches!(number & 0xFF, 5 | 6 | 10 | 13),
        _ => ["08", "40", "53", "57"].iter().any(|class| code.starts_with(class)),
    }
}

/// Whether a statement failed because such a row is there already.
#[must_use]
pub fn is_double(error: &sqlx::Error) -> bool {
    error.as_database_error().is_some_and(sqlx::error::DatabaseError::is_unique_violation)
}

#[cfg(test)]
mod tests {
    use super::passes;

    #[test]
    fn what_passes_is_told_from_what_stays() {
        // Cut off by the operator, deadlock, too many connections; busy, busy with a snapshot, full.
        for code in ["57P01", "40P01", "53300", "5", "517", "13"] {
            assert!(passes(code), "{code}");
        }
        // Double key, unknown column; constraint, constraint on a unique key.
        for code in ["23505", "42703", "19", "2067"] {
            assert!(!passes(code), "{code}");
        }
    }
}
