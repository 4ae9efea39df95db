//! Rules: one fault, one file, one page.
//!
//! A rule looks at facts and at the board and hands over findings; its page says what the fault is,
//! how it is measured, when it is fine, how we ask, and gives examples that are run as tests.

mod array_or_single;
mod at_edge;
pub(crate) mod context;
mod contradicting_attribute;
mod copper_near_edge;
mod copper_near_hole;
mod copper_near_score;
mod copper_over_edge;
mod doubled_hole;
pub(crate) mod doubt;
mod doubtful_joint;
mod empty_copper;
pub(crate) mod feature;
pub(crate) mod finding;
mod half_hole;
mod high_aspect_ratio;
mod hole_near_edge;
mod holes_too_close;
mod large_hole;
mod mirrored_layer;
mod misplaced_layer;
mod missing_drill;
mod missing_hole;
mod missing_layer;
mod missing_mask;
mod missing_outline;
mod narrow_cutout;
mod narrow_track;
mod netlists;
mod no_netlist;
mod off_size_hole;
mod open;
mod open_outline;
mod outline_in_copper;
mod padded_unplated_hole;
mod padless_plated_hole;
#[cfg(test)]
mod pages;
mod painted_copper;
mod registry;
mod rival_outlines;
mod rival_sets;
mod sharp_inner_corner;
mod shifted_holes;
mod short;
mod slot_given_twice;
mod slot_on_wrong_layer;
mod small_hole;
mod small_opening;
mod stray_outside;
mod thin_bridge;
mod thin_ring;
mod thin_tab;
mod thin_web;
mod tight_gap;
mod two_readings;
mod unclear_drill_format;
mod unclear_layer_order;
mod unclear_plating;
mod unclear_polarity;
mod unclear_role;
mod unplated_touches_plated;
mod unreadable_file;
mod unsized_aperture;
mod unsized_tool;

use crate::capability::{Capability, Order};
use crate::check::Measured;
use crate::query::{Ran, Terms, Verdict, asking::Asking};
use context::Context;
use finding::Outcome;
pub use registry::registry;

/// Groups of rules, in the order of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Is the set complete, and what is each file?
    Set,
    /// Edge and cut-outs.
    Outline,
    /// Holes and slots.
    Holes,
    /// Copper.
    Copper,
    /// Mask and legend.
    Mask,
}

impl Group {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Set => "set",
            Self::Outline => "outline",
            Self::Holes => "holes",
            Self::Copper => "copper",
            Self::Mask => "mask",
        }
    }
}

/// One rule.
pub struct Rule {
    /// Name of the fault.
    pub name: &'static str,
    /// Where it stands on the form.
    pub group: Group,
    /// Its page, in Markdown.
    pub page: &'static str,
    pub(crate) look: fn(&Rule, &Context<'_>) -> Outcome,
}

impl std::fmt::Debug for Rule {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Rule").field("name", &self.name).field("group", &self.group).finish_non_exhaustive()
    }
}

/// Runs every rule and words the queries.
#[must_use]
pub fn judge(measured: &Measured, capability: &Capability, order: &Order, terms: &Terms) -> Verdict {
    let board = &measured.board;
    let inner = board.copper.len() > 2 || order.layers.is_some_and(|n| n > 2);
    let context = Context {
        board,
        geometry: &measured.geometry,
        facts: &measured.facts,
        capability,
        ordered_layers: order.layers,
        order: order.settle(capability, inner),
        ordered: order,
        terms,
    };
    let mut assumptions = board.assumptions.clone();
    assumptions.extend(context.order.assumptions.iter().cloned());
    let mut verdict = Verdict { assumptions, ..Verdict::default() };
    let mut asking = Asking::new(&context);
    for rule in registry() {
        let outcome = (rule.look)(rule, &context);
        verdict.ran.push(ran(rule, &outcome));
        asking.ask(rule, outcome.findings);
    }
    asking.finish(&mut verdict);
    verdict
}

fn ran(rule: &Rule, outcome: &Outcome) -> Ran {
    let found = outcome.findings.iter().map(|f| f.places.len().max(1) as u64).sum();
    Ran { rule: rule.name, looked_at: outcome.looked_at.max(found), found, not_run: outcome.not_run.clone() }
}
