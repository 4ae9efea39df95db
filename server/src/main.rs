//! The program `landgap`.

fn main() -> std::process::ExitCode {
    landgap_server::command::main()
}
