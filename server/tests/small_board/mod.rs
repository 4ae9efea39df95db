//! A small board of our own, written here: two lands and a track that come too close, an outline,
//! a mask, and plated holes.

/// The files: path and text.
pub fn files() -> Vec<(&'static str, String)> {
    vec![
        ("board-copper-top.gbr", copper("Copper,L1,Top", true)),
        ("board-copper-bottom.gbr", copper("Copper,L2,Bot", false)),
        ("board-mask-top.gbr", mask("Soldermask,Top")),
        ("board-mask-bottom.gbr", mask("Soldermask,Bot")),
        ("board-outline.gbr", outline()),
        ("board-plated.drl", drill()),
    ]
}

/// The gap on copper 1 in micrometres: lands end at x = 5.600 mm, the track's edge runs at 5.660 mm.
#[allow(dead_code)]
pub const GAP_UM: f64 = 60.0;

fn head(function: &str) -> String {
    format!("%TF.FileFunction,{function}*%\n%FSLAX46Y46*%\n%MOMM*%\n%LPD*%\n")
}

fn copper(function: &str, with_track: bool) -> String {
    let mut text = head(function);
    text += "%ADD10C,1.200000*%\n%ADD11C,0.200000*%\n";
    text += "%TO.N,LEFT*%\nD10*\nX5000000Y5000000D03*\n%TO.N,RIGHT*%\nX15000000Y5000000D03*\n";
    if with_track {
        text += "%TO.N,BETWEEN*%\nD11*\nX5760000Y2000000D02*\nX5760000Y8000000D01*\n";
    }
    text + "%TD*%\nM02*\n"
}

fn mask(function: &str) -> String {
    head(function) + "%ADD10C,1.400000*%\nD10*\nX5000000Y5000000D03*\nX15000000Y5000000D03*\nM02*\n"
}

fn outline() -> String {
    head("Profile,NP")
        + "%ADD10C,0.100000*%\nD10*\nX0Y0D02*\nG01*\nX20000000Y0D01*\nX20000000Y10000000D01*\nX0Y10000000D01*\nX0Y0D01*\nM02*\n"
}

fn drill() -> String {
    "M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C0.600\n%\nG90\nG05\nT1\nX5.000Y5.000\nX15.000Y5.000\nM30\n"
        .to_owned()
}

/// The files in a zip, below one folder as packing programs make it.
#[allow(dead_code)]
pub fn zip() -> Vec<u8> {
    use std::io::Write;
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default();
    for (name, text) in files() {
        writer.start_file(format!("board/{name}"), options).unwrap();
        writer.write_all(text.as_bytes()).unwrap();
    }
    writer.start_file("__MACOSX/board/._board-outline.gbr", options).unwrap();
    writer.write_all(b"litter").unwrap();
    writer.finish().unwrap().into_inner()
}

/// A folder of its own below the system's folder for passing files, removed at the end.
pub struct Folder(pub std::path::PathBuf);

impl Folder {
    /// An empty folder.
    #[allow(dead_code)]
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("landgap-test-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    /// Writes a file into it.
    #[allow(dead_code)]
    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) -> std::path::PathBuf {
        let path = self.0.join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    }

    /// Writes the small board into it.
    #[allow(dead_code)]
    pub fn with_board(self) -> Self {
        files().into_iter().for_each(|(name, text)| drop(self.write(name, text)));
        self
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
