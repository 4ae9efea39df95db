//! Every file read, whatever it holds.

use landgap_parser::kind::{self, Kind};
use landgap_parser::netlist::{self, Netlist};
use landgap_parser::{Image, LimitReached, Limits, Remark, artwork, drill};

use crate::check::{InputFile, Stage};

/// A file with what its reader made of it.
pub(super) struct Loaded<'a> {
    pub file: &'a InputFile,
    pub kind: Kind,
    pub image: Option<Image>,
    pub program: Option<drill::Program>,
    pub netlist: Option<Netlist>,
    pub remarks: Vec<Remark>,
    /// Why nothing could be made of it, where a reader gave up.
    pub failure: Option<String>,
}

impl Loaded<'_> {
    /// Nothing is made of the file: a limit was reached.
    fn stop(&mut self, limit: &LimitReached) {
        self.failure = Some(limit.to_string());
        self.remarks.push(limit.remark());
    }
}

/// Reads all files, in order of path.
pub(super) fn all<'a>(files: &'a [InputFile], limits: &Limits, progress: &dyn Fn(Stage)) -> Vec<Loaded<'a>> {
    let mut order: Vec<&InputFile> = files.iter().collect();
    order.sort_by(|a, b| a.path.cmp(&b.path).then_with(|| a.bytes.cmp(&b.bytes)));
    let total = order.len();
    let mut out = Vec::with_capacity(total);
    for (done, file) in order.into_iter().enumerate() {
        progress(Stage::Read(done, total));
        out.push(one(file, limits));
    }
    progress(Stage::Read(total, total));
    out
}

fn one<'a>(file: &'a InputFile, limits: &Limits) -> Loaded<'a> {
    let kind = kind::detect(&file.bytes);
    let mut loaded =
        Loaded { file, kind, image: None, program: None, netlist: None, remarks: Vec::new(), failure: None };
    match kind {
        Kind::Artwork => match artwork::read(&file.bytes, limits) {
            Ok(read) => {
                loaded.remarks = read.remarks;
                loaded.image = Some(read.image);
            }
            Err(limit) => loaded.stop(&limit),
        },
        Kind::Drill => match drill::read(&file.bytes, limits) {
            Ok(program) => {
                loaded.remarks.clone_from(&program.remarks);
                loaded.program = Some(program);
            }
            Err(limit) => loaded.stop(&limit),
        },
        Kind::Netlist => match netlist::read(&file.bytes, limits) {
            Ok(read) => {
                loaded.remarks.clone_from(&read.remarks);
                loaded.netlist = Some(read);
            }
            Err(limit) => loaded.stop(&limit),
        },
        _ => {}
    }
    loaded
}
