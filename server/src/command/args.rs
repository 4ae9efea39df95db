//! What the command line takes.

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};

use crate::pdf::Paper;
use crate::print::Threshold;

/// Reads bare-board manufacturing data and asks the engineering queries.
#[derive(Debug, Parser)]
#[command(
    name = "landgap",
    version,
    about,
    after_help = "Exit codes: 0 nothing at or above the threshold; 1 queries at or above it; \
2 data unreadable or incomplete, no verdict possible; 3 capability, order or usage wrong; 4 a limit was reached, or we failed."
)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Check a folder, an archive, or a list of files.
    Check(Check),
    /// Compare an old and a new data set of one part: what changed, and what became of each query.
    Compare(Compare),
    /// Read the answers typed into a form's spreadsheet back, as JSON.
    Answers(Answers),
    /// What is measured on the board, as JSON, without judging.
    Facts(Facts),
    /// List, show, check and explain capability profiles.
    Capability {
        /// What to do with them.
        #[command(subcommand)]
        action: CapabilityAction,
    },
    /// The words queries are asked in: what a shop's own wording files start from.
    Wording(Wording),
    /// Every code a remark can have: its weight, its source and what to do about it.
    Remarks(Remarks),
    /// Run the service and the page.
    Serve(Serve),
    /// Work on the checks of a service elsewhere that shares the same database and objects.
    Work(Work),
    /// Do checks told on standard input, for the service that started this process.
    #[command(hide = true)]
    Apart(Apart),
    /// Make the first administrator, or one more.
    Admin(Admin),
    /// Write everything a service keeps into one file; it may go on meanwhile.
    Backup(Backup),
    /// Fill an empty service from such a file; SQLite and PostgreSQL, folder and S3 read the same one.
    Restore(Backup),
    /// Send data to a running service and wait; same output and exit codes as check.
    Send(Send),
}

/// How results are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Text,
    /// The report.
    Json,
    /// SARIF 2.1.0.
    Sarif,
    /// JUnit XML.
    Junit,
    /// One row a place.
    Csv,
    /// The form to print.
    Html,
    /// The form as a document: words, figures, and a table of every place attached.
    Pdf,
    /// The form as a spreadsheet with columns to answer in.
    Xlsx,
    /// The body of a mail.
    Mail,
}

/// Arguments shared by check and send.
#[derive(Debug, ClapArgs)]
pub struct How {
    /// Folder, archive (zip, tar, tar.gz) or files of one board.
    #[arg(required = true, value_name = "DATA")]
    pub data: Vec<PathBuf>,
    /// Capability profile: a name or a file. Several make a matrix.
    #[arg(long, value_name = "NAME|FILE")]
    pub capability: Vec<String>,
    /// Order file (TOML).
    #[arg(long, value_name = "FILE")]
    pub order: Option<PathBuf>,
    /// File that says what files are (TOML): "path" = "copper top 1".
    #[arg(long, value_name = "FILE")]
    pub told: Option<PathBuf>,
    /// Folder of wording files; see `landgap wording`.
    #[arg(long, value_name = "FOLDER")]
    pub wording: Option<PathBuf>,
    /// Standing permissions (TOML): what may be done unasked, with bounds.
    #[arg(long, value_name = "FILE")]
    pub permissions: Option<PathBuf>,
    /// Accepted departures (TOML): what the customer accepted before, down to which value, until when.
    #[arg(long, value_name = "FILE")]
    pub accepted: Option<PathBuf>,
    /// The day permissions and departures are held against, such as 2026-03-31; today where it is left out.
    #[arg(long, value_name = "DAY")]
    pub on: Option<String>,
    /// How results are written.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Where results are written; standard output where it is left out.
    #[arg(long, value_name = "PATH")]
    pub out: Option<PathBuf>,
    /// The sheet a PDF is made for.
    #[arg(long, value_enum, default_value = "a4", value_name = "PAPER")]
    pub paper: Paper,
    /// The severity from which on the exit code is 1.
    #[arg(long, value_enum, default_value = "ask", value_name = "SEVERITY")]
    pub fail_on: Threshold,
    /// Set a limit otherwise, such as bytes=128MiB or objects=8000000; can be given several times.
    #[arg(long, value_name = "NAME=VALUE")]
    pub limit: Vec<String>,
}

/// `landgap check`.
#[derive(Debug, ClapArgs)]
pub struct Check {
    /// How.
    #[command(flatten)]
    pub how: How,
}

/// `landgap compare`.
#[derive(Debug, ClapArgs)]
pub struct Compare {
    /// Folder or archive of the old set.
    pub old: PathBuf,
    /// Folder or archive of the new set.
    pub new: PathBuf,
    /// Capability profile: a name or a file.
    #[arg(long, value_name = "NAME|FILE")]
    pub capability: Option<String>,
    /// Order file (TOML).
    #[arg(long, value_name = "FILE")]
    pub order: Option<PathBuf>,
    /// Accepted departures (TOML).
    #[arg(long, value_name = "FILE")]
    pub accepted: Option<PathBuf>,
    /// The day departures are held against, such as 2026-03-31; today where it is left out.
    #[arg(long, value_name = "DAY")]
    pub on: Option<String>,
    /// How results are written.
    #[arg(long, value_enum, default_value = "text")]
    pub format: CompareFormat,
    /// Where results are written; standard output where it is left out.
    #[arg(long, value_name = "PATH")]
    pub out: Option<PathBuf>,
    /// The severity from which on a query that is not gone makes the exit code 1.
    #[arg(long, value_enum, default_value = "ask", value_name = "SEVERITY")]
    pub fail_on: Threshold,
    /// Set a limit otherwise, such as bytes=128MiB or objects=8000000; can be given several times.
    #[arg(long, value_name = "NAME=VALUE")]
    pub limit: Vec<String>,
}

/// How a comparison is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CompareFormat {
    /// For people.
    Text,
    /// For programs.
    Json,
}

/// `landgap answers`.
#[derive(Debug, ClapArgs)]
pub struct Answers {
    /// The spreadsheet, answered.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Where results are written; standard output where it is left out.
    #[arg(long, value_name = "PATH")]
    pub out: Option<PathBuf>,
}

/// `landgap facts`.
#[derive(Debug, ClapArgs)]
pub struct Facts {
    /// Folder, archive (zip, tar, tar.gz) or files of one board.
    #[arg(required = true, value_name = "DATA")]
    pub data: Vec<PathBuf>,
    /// File that says what files are (TOML): "path" = "copper top 1".
    #[arg(long, value_name = "FILE")]
    pub told: Option<PathBuf>,
    /// Where results are written; standard output where it is left out.
    #[arg(long, value_name = "PATH")]
    pub out: Option<PathBuf>,
    /// Set a limit otherwise, such as bytes=128MiB or objects=8000000; can be given several times.
    #[arg(long, value_name = "NAME=VALUE")]
    pub limit: Vec<String>,
}

/// `landgap capability …`.
#[derive(Debug, Subcommand)]
pub enum CapabilityAction {
    /// Names of the profiles that come with the program.
    List,
    /// The text of a profile.
    Show {
        /// Name or file.
        profile: String,
    },
    /// Check a profile; exit code 3 where something is wrong.
    Lint {
        /// Name or file.
        profile: String,
    },
    /// What a value is and where it comes from.
    Explain {
        /// A key such as gap.outer, or its beginning.
        key: String,
        /// Name or file of the profile.
        #[arg(long, default_value = crate::profile::USUAL, value_name = "NAME|FILE")]
        capability: String,
    },
}

/// `landgap remarks`.
#[derive(Debug, ClapArgs)]
pub struct Remarks {
    /// A code such as artwork-contour-open, or its beginning; all of them where it is left out.
    #[arg(value_name = "CODE")]
    pub code: Option<String>,
}

/// `landgap wording`.
#[derive(Debug, ClapArgs)]
pub struct Wording {
    /// A rule such as thin-ring, or answers; the names of all of them where it is left out.
    #[arg(value_name = "RULE")]
    pub rule: Option<String>,
    /// Write one file a rule into this folder, none over one that is there.
    #[arg(long, value_name = "FOLDER", conflicts_with = "rule")]
    pub out: Option<PathBuf>,
}

/// Where a service keeps things.
#[derive(Debug, ClapArgs)]
pub struct Kept {
    /// Data folder [default: landgap in the user's folder for data].
    #[arg(long, value_name = "DIR", env = "LANDGAP_DATA")]
    pub data: Option<PathBuf>,
    /// PostgreSQL address in place of the SQLite file in the data folder.
    #[arg(long, value_name = "URL", env = "LANDGAP_DATABASE", hide_env_values = true)]
    pub database: Option<String>,
    /// S3-compatible storage, s3://BUCKET/PREFIX, in place of the folder of objects in the data folder;
    /// key, secret, region and endpoint come from the usual AWS_ variables.
    #[arg(long, value_name = "URL", env = "LANDGAP_OBJECTS")]
    pub objects: Option<String>,
}

/// `landgap work`.
#[derive(Debug, ClapArgs)]
pub struct Work {
    /// Where things are kept.
    #[command(flatten)]
    pub kept: Kept,
    /// Checks at work at once.
    #[arg(long, default_value_t = crate::http::serve::WORKERS, value_name = "COUNT")]
    pub workers: usize,
    /// Set a limit otherwise, such as bytes=128MiB or objects=8000000; can be given several times.
    #[arg(long, value_name = "NAME=VALUE")]
    pub limit: Vec<String>,
}

/// `landgap admin`.
#[derive(Debug, ClapArgs)]
pub struct Admin {
    /// What to do.
    #[command(subcommand)]
    pub action: AdminAction,
}

/// `landgap admin …`.
#[derive(Debug, Subcommand)]
pub enum AdminAction {
    /// Make an administrator; the password is the first line of standard input.
    Create {
        /// What they sign in with.
        #[arg(long)]
        login: String,
        /// Their name; the login where it is left out.
        #[arg(long)]
        name: Option<String>,
        /// Where things are kept.
        #[command(flatten)]
        kept: Kept,
    },
}

/// `landgap backup` and `landgap restore`.
#[derive(Debug, ClapArgs)]
pub struct Backup {
    /// The file.
    pub file: PathBuf,
    /// Where things are kept.
    #[command(flatten)]
    pub kept: Kept,
}

/// `landgap apart`, started by the service itself.
#[derive(Debug, ClapArgs)]
pub struct Apart {
    /// Set a limit otherwise.
    #[arg(long, value_name = "NAME=VALUE")]
    pub limit: Vec<String>,
}

/// `landgap serve`.
#[derive(Debug, ClapArgs)]
pub struct Serve {
    /// Address and port.
    #[arg(long, default_value = "127.0.0.1:8710")]
    pub listen: String,
    /// Where things are kept.
    #[command(flatten)]
    pub kept: Kept,
    /// Checks at work at once; 0 leaves them to `landgap work` elsewhere.
    #[arg(long, default_value_t = crate::http::serve::WORKERS, value_name = "COUNT")]
    pub workers: usize,
    /// Take data from people without an account; they may read what their checks found.
    #[arg(long)]
    pub open_uploads: bool,
    /// Where people reach the service through a proxy, such as https://queries.example; it then wants an
    /// administrator even on this machine.
    #[arg(long, value_name = "URL", env = "LANDGAP_PUBLIC")]
    pub public: Option<String>,
    /// Folder of demo boards, one folder or zip each.
    #[arg(long, value_name = "DIR")]
    pub demo: Option<PathBuf>,
    /// Set a limit otherwise, such as bytes=128MiB or objects=8000000; can be given several times.
    #[arg(long, value_name = "NAME=VALUE")]
    pub limit: Vec<String>,
}

/// `landgap send`.
#[derive(Debug, ClapArgs)]
pub struct Send {
    /// How.
    #[command(flatten)]
    pub how: How,
    /// Address of the service, such as http://127.0.0.1:8710.
    #[arg(long, value_name = "URL")]
    pub to: String,
    /// Token of the service, where it wants one; better kept in the variable than on the command line.
    #[arg(long, value_name = "TOKEN", env = "LANDGAP_TOKEN", hide_env_values = true)]
    pub token: Option<String>,
}
