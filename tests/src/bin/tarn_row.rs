//! Writes the Tarn Row demo boards: `cargo run -p landgap-tests --bin tarn_row -- corpus/tarn-row`.

use std::path::Path;
use std::process::ExitCode;

use landgap_tests::tarn_row;

fn main() -> ExitCode {
    let Some(folder) = std::env::args().nth(1) else {
        eprintln!("tarn_row: name the folder to write into, for example corpus/tarn-row");
        return ExitCode::from(3);
    };
    match tarn_row::write(Path::new(&folder)) {
        Ok(count) => {
            println!("{count} files written below {folder}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("tarn_row: {folder}: {error}");
            ExitCode::from(4)
        }
    }
}
