//! The report's layout: the order of the fields is the order of the keys.

use landgap_parser::limits::LIMIT_REACHED;
use serde::{Deserialize, Serialize};

use super::um::Um;

/// x and y in micrometres.
pub type UmPoint = [Um; 2];

/// Everything a check comes to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// Version of the program.
    pub landgap: String,
    /// Version of this layout.
    pub report: u32,
    /// What was checked.
    pub data: Data,
    /// The board as understood.
    pub board: Board,
    /// Least measures, as drawn.
    pub measured: Vec<Least>,
    /// Kinds of fact that could not be measured.
    pub not_measured: Vec<NotMeasured>,
    /// What the facts were judged against; absent values where nothing was judged.
    pub capability: Option<CapabilityName>,
    /// Whose board it is.
    #[serde(default)]
    pub ordered: Ordered,
    /// What was assumed.
    pub assumptions: Vec<String>,
    /// Every rule.
    pub ran: Vec<RuleRan>,
    /// The queries, gravest first.
    pub queries: Vec<Query>,
    /// Queries covered by accepted departures.
    pub covered: Vec<Query>,
    /// What became of each permission and departure.
    #[serde(default)]
    pub agreements: Vec<Agreement>,
    /// Counts by severity.
    pub verdict: Verdict,
    /// What the reader must bear in mind.
    pub cautions: Vec<String>,
}

/// What became of a permission or a departure on this board.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Agreement {
    /// `permission` or `departure`.
    pub kind: String,
    /// Its name.
    pub id: String,
    /// Whose boards it holds for; empty for all.
    pub scope: String,
    /// Places it settles.
    pub places: u64,
    /// Why it settles nothing, or not all of its rule's places.
    pub not: Vec<String>,
}

/// What was ordered, as far as a form's head needs it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Ordered {
    /// Who ordered.
    pub customer: Option<String>,
    /// The part.
    pub part: Option<String>,
    /// Its revision.
    pub revision: Option<String>,
    /// Number of the order or quotation.
    pub number: Option<String>,
    /// Whom to ask.
    pub contact: Option<String>,
    /// The day an answer is wanted by.
    pub answer_by: Option<String>,
}

/// The data set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Data {
    /// Its identity.
    pub id: String,
    /// Its files in order of path.
    pub files: Vec<File>,
}

impl Data {
    /// Whether a limit kept a file or an entry from being read.
    #[must_use]
    pub fn limit_reached(&self) -> bool {
        self.files.iter().flat_map(|f| &f.remarks).any(|r| r.code == LIMIT_REACHED.id)
    }
}

/// One file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct File {
    /// Path inside the set.
    pub path: String,
    /// Hash of its bytes.
    pub sha256: String,
    /// Its size.
    pub bytes: u64,
    /// What the bytes are.
    pub kind: String,
    /// What the file is for.
    pub role: String,
    /// Side of the board.
    pub side: Option<String>,
    /// Copper layer from the top.
    pub layer: Option<u32>,
    /// First and last copper layer, for holes.
    pub span: Option<[u32; 2]>,
    /// What the decision rests on.
    pub known_by: String,
    /// How sure, 0 to 1.
    pub confidence: f64,
    /// The evidence.
    pub evidence: Vec<String>,
    /// The next best reading.
    pub runner_up: Option<String>,
    /// How its numbers were read.
    pub format: Option<String>,
    /// How it lies on the rest of the board, where it has points to be held against.
    #[serde(default)]
    pub registration: Option<Registration>,
    /// What the reader noticed.
    pub remarks: Vec<Remark>,
}

/// How a file lies on the rest of the board.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Registration {
    /// What it was held against.
    pub against: String,
    /// Points compared.
    pub points: u32,
    /// As sent: the shift is what is left on average.
    pub as_sent: Laid,
    /// The way in which it fits clearly better.
    pub better: Option<Laid>,
    /// Whether that is a shift alone, after which nothing but rounding is left.
    pub pure_shift: bool,
}

/// One way to lay a file on the board: mirrored, turned about the board's middle, scaled about the
/// origin, then shifted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Laid {
    /// x becomes −x.
    pub mirrored: bool,
    /// Counter-clockwise.
    pub turned_deg: u16,
    /// Factor on all lengths.
    pub scale: f64,
    /// How far the file is moved.
    pub shift_um: UmPoint,
    /// Share of the points that then stand as they should, 0 to 1.
    pub share: f64,
    /// The greatest distance left.
    pub max_um: Option<Um>,
    /// The root of the mean square of what is left.
    pub rms_um: Option<Um>,
}

/// Something the reader noticed in a file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Remark {
    /// Stable code.
    pub code: String,
    /// `error`, `warning` or `info`.
    pub severity: String,
    /// Line from 1.
    pub line: u32,
    /// Column from 1.
    pub column: u32,
    /// The sentence.
    pub text: String,
    /// What was found there.
    #[serde(default)]
    pub found: String,
    /// What was expected; empty where `found` says it all.
    #[serde(default)]
    pub expected: String,
    /// What the sender should do about it.
    #[serde(default)]
    pub action: String,
    /// How many further places of the file have the same remark.
    #[serde(default)]
    pub more: u32,
    /// What the line says there.
    #[serde(default)]
    pub excerpt: Option<Excerpt>,
    /// Where the file can be read in two ways: the five places that differ most, in order of line.
    #[serde(default)]
    pub two_readings: Vec<TwoReadings>,
}

/// A line of a file, or the piece of it round a column.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Excerpt {
    /// At most 160 characters, each of them printable.
    pub text: String,
    /// How many of them stand before the column.
    pub caret: u32,
}

/// A place of a file that can be read in two ways.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TwoReadings {
    /// Line from 1.
    pub line: u32,
    /// Where in the image.
    pub at_um: UmPoint,
    /// The area the readings differ by.
    pub differ_mm2: f64,
    /// About how thick that area is.
    pub thick_um: Um,
    /// The area as it was read and as it may also be read, where both are areas.
    pub areas_mm2: Option<[f64; 2]>,
}

/// The board as understood.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Board {
    /// Width of the box round the outline.
    pub width_um: Option<Um>,
    /// Height of the box round the outline.
    pub height_um: Option<Um>,
    /// Lower left and upper right corner of that box.
    pub outline_um: Option<[UmPoint; 2]>,
    /// Material inside the outline.
    pub area_mm2: Option<f64>,
    /// Number of copper layers.
    pub copper_layers: u32,
    /// `closed`, `open`, `assumed` or `missing`.
    pub outline: String,
    /// Thickness, from the order.
    pub thickness_um: Option<Um>,
    /// Nets found.
    pub nets: u32,
    /// Hole counts.
    pub holes: Holes,
    /// Holes by kind, with the reasons.
    #[serde(default)]
    pub hole_kinds: Vec<HoleGroup>,
    /// What else stands on the board, with the reasons.
    #[serde(default)]
    pub features: Vec<FeatureGroup>,
    /// Copper layer by layer.
    pub layers: Vec<Layer>,
}

/// Hole counts and sizes. `plated`, `unplated` and `unclear` count everything drilled or routed;
/// `slots` says how many of these are slots or routed paths.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Holes {
    /// Plated.
    pub plated: u32,
    /// Non-plated.
    pub unplated: u32,
    /// Not told.
    pub unclear: u32,
    /// Slots and routed paths among them.
    pub slots: u32,
    /// Smallest finished size.
    pub smallest_finished_um: Option<Um>,
    /// Smallest drilled size, with the profile's allowance.
    pub smallest_drilled_um: Option<Um>,
}

/// Holes of one kind and plating that are taken for it by the same reasons.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoleGroup {
    /// What they are for.
    pub kind: String,
    /// `plated`, `unplated` or `unclear`.
    pub plating: String,
    /// How many.
    pub count: u32,
    /// The chain of reasons.
    pub why: Vec<String>,
    /// Where the first of them lie, five at most.
    pub places_um: Vec<UmPoint>,
}

/// Features of one kind on one layer that are taken for it by the same reasons.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FeatureGroup {
    /// What they are.
    pub kind: String,
    /// The layer's name, where they lie on one.
    pub layer: Option<String>,
    /// How many.
    pub count: u32,
    /// The chain of reasons.
    pub why: Vec<String>,
    /// Where the first of them lie, five at most.
    pub places_um: Vec<UmPoint>,
}

/// One copper layer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Layer {
    /// From the top.
    pub layer: u32,
    /// `top`, `bottom` or `inner`.
    pub side: String,
    /// Copper area.
    pub copper_mm2: f64,
    /// Connected pieces.
    pub islands: u32,
}

/// The least value of one kind of fact on one layer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Least {
    /// Kind of fact.
    pub fact: String,
    /// Copper layer, where it is one.
    pub layer: Option<u32>,
    /// The layer's name, whatever it is.
    pub on: Option<String>,
    /// Least value.
    pub least_um: Um,
    /// How far the truth may lie from it.
    pub uncertainty_um: Um,
    /// Middle between its witness points.
    pub at_um: UmPoint,
    /// Facts kept of this kind on this layer.
    pub counted: u64,
    /// Places of this kind looked at on the whole board.
    pub looked_at: Option<u64>,
}

/// A kind of fact that could not be measured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NotMeasured {
    /// Kind of fact.
    pub fact: String,
    /// Why not.
    pub reason: String,
}

/// The capability profile judged against.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CapabilityName {
    /// Its name.
    pub name: String,
    /// Hash of its text.
    pub sha256: String,
}

/// A rule that ran, or could not.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RuleRan {
    /// The rule.
    pub rule: String,
    /// Places looked at.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub looked_at: Option<u64>,
    /// Places at fault.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub found: Option<u64>,
    /// Why it could not run.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub not_run: Option<String>,
}

/// One query.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Query {
    /// Number on the form.
    pub number: u32,
    /// The rule that asks.
    pub rule: String,
    /// `stop`, `ask`, `note` or `fix`.
    pub severity: String,
    /// One sentence.
    pub title: String,
    /// What is seen.
    pub what: String,
    /// Why it matters.
    pub why: String,
    /// Layers concerned.
    pub layers: Vec<String>,
    /// Worst value as judged.
    pub measured_um: Option<Um>,
    /// The limit.
    pub required_um: Option<Um>,
    /// Uncertainty of the worst value.
    pub uncertainty_um: Option<Um>,
    /// Where the limit comes from.
    pub required_by: Option<String>,
    /// Number of places.
    pub count: u32,
    /// Every place, worst first.
    pub places: Vec<Place>,
    /// The chain of reasons.
    pub reasons: Vec<String>,
    /// Ready answers.
    pub options: Vec<Answer>,
    /// What its places look like, the most frequent first; only where an answer is needed.
    #[serde(default)]
    pub surroundings: Vec<Surroundings>,
    /// The agreement that settles it.
    #[serde(default)]
    pub settled_by: Option<SettledBy>,
    /// Stable across re-exports.
    pub fingerprint: String,
}

/// Places of a query that look alike.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Surroundings {
    /// A name for what they look like.
    pub name: String,
    /// Its places, by their number in the list, from 1.
    pub places: Vec<u32>,
}

/// What settles a query that nobody need answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SettledBy {
    /// `permission` or `departure`.
    pub kind: String,
    /// Its name.
    pub id: String,
    /// What is done, or what was accepted.
    pub text: String,
    /// Who gave it.
    pub by: String,
    /// When.
    pub on: String,
    /// The last day it holds.
    pub until: Option<String>,
    /// The smallest value it covers.
    pub floor_um: Option<Um>,
    /// The picture it was accepted on.
    pub picture: Option<String>,
}

/// One place of a query.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Place {
    /// Where to look.
    pub x_um: Um,
    /// Where to look.
    pub y_um: Um,
    /// Value as judged.
    pub measured_um: Option<Um>,
    /// Value as drawn.
    pub drawn_um: Option<Um>,
    /// Layer's name.
    pub layer: Option<String>,
    /// Witness points.
    pub between_um: Option<[UmPoint; 2]>,
    /// Nets concerned.
    pub nets: Vec<String>,
    /// Lines of the data.
    pub sources: Vec<Source>,
}

/// A line of a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// Path inside the set.
    pub file: String,
    /// Line from 1; absent where the whole file is meant.
    pub line: Option<u32>,
}

/// A ready answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Answer {
    /// `A`, `B`, `C`.
    pub key: String,
    /// What will be done.
    pub text: String,
    /// `new data`, `change`, `acceptance` or `statement`.
    #[serde(default)]
    pub answer: String,
    /// What it does to price, delivery and risk.
    #[serde(default)]
    pub effect: String,
    /// Whether we would choose it.
    pub recommended: bool,
}

/// Counts by severity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Verdict {
    /// Cannot go on.
    pub stop: u32,
    /// Need an answer.
    pub ask: u32,
    /// To tell.
    pub note: u32,
    /// Done and listed.
    pub fix: u32,
}

impl Report {
    /// Whether the data hold enough of a board for a verdict: copper on at least one layer.
    #[must_use]
    pub const fn verdict_is_possible(&self) -> bool {
        self.board.copper_layers > 0
    }
}
