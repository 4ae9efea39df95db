//! What the service stands on, over real sockets: what is kept, jobs, people. Every scenario runs on SQLite and a
//! folder, and on a real PostgreSQL where its programs are on the machine.

mod small_board;

#[path = "ground/jobs.rs"]
mod jobs;
#[path = "ground/life.rs"]
mod life;
#[path = "ground/people.rs"]
mod people;
#[path = "ground/postgres.rs"]
mod postgres;
#[path = "ground/processes.rs"]
mod processes;
#[path = "ground/records.rs"]
mod records;
#[path = "ground/s3.rs"]
mod s3;
#[path = "ground/support.rs"]
mod support;
#[path = "ground/ways_in.rs"]
mod ways_in;

/// Makes of each scenario a test on SQLite and one on PostgreSQL.
macro_rules! on_both {
    ($($scenario:ident),+ $(,)?) => {
        mod on_sqlite {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $scenario() {
                super::$scenario(crate::support::Ground::sqlite(stringify!($scenario))).await;
            })+
        }
        mod on_postgres {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $scenario() {
                if let Some(ground) = crate::support::Ground::postgres(stringify!($scenario)).await {
                    super::$scenario(ground).await;
                }
            })+
        }
    };
}
pub(crate) use on_both;
