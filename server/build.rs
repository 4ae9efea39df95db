//! Embeds the built page: every file of `web/dist`, or a stub that says how to build it.

use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::{env, fs};

const STUB: &str = "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>Landgap</title>\
<body><h1>The page is not built in</h1><p>The service runs and answers under <code>/api</code>. To have the page, \
run <code>npm ci</code> and <code>npm run build</code> in the folder <code>web</code>, then build the program again.</p></body></html>";

fn main() {
    let dist = Path::new(&env::var("CARGO_MANIFEST_DIR").expect("cargo sets it")).join("../web/dist");
    println!("cargo::rerun-if-changed={}", dist.display());
    println!("cargo::rerun-if-changed=build.rs");
    let mut files = Vec::new();
    collect(&dist, &mut files);
    files.sort();
    let mut table =
        String::from("/// Path and bytes of every embedded file.\npub static ASSETS: &[(&str, &[u8])] = &[\n");
    for file in &files {
        println!("cargo::rerun-if-changed={}", file.display());
        let address = file.strip_prefix(&dist).expect("it lies inside").to_string_lossy().replace('\\', "/");
        let _ = writeln!(table, "    ({:?}, include_bytes!({:?})),", format!("/{address}"), file.display().to_string());
    }
    if !files.iter().any(|f| f.ends_with("dist/index.html")) {
        let _ = writeln!(table, "    (\"/index.html\", {STUB:?}.as_bytes()),");
    }
    table += "];\n";
    let out = PathBuf::from(env::var("OUT_DIR").expect("cargo sets it")).join("assets.rs");
    fs::write(out, table).expect("the build folder can be written to");
}

fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() { collect(&path, files) } else { files.push(path) }
    }
}
