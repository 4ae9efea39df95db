//! Small closed formulas of the trade, each with a worked example in the tests.

use landgap_parser::Nm;

/// Angle in degrees over which a hole leaves its land, for land radius, hole radius and the distance between their centres.
///
/// The circles cross where the law of cosines says; no crossing with the hole inside gives 0, and a hole
/// that swallows the land, or lies clear of it, gives 360.
#[must_use]
pub fn breakout_degrees(land_radius: Nm, hole_radius: Nm, offset: Nm) -> f64 {
    let (land, hole, offset) = (land_radius as f64, hole_radius as f64, offset.abs() as f64);
    if offset + hole <= land {
        return 0.0;
    }
    if hole - offset >= land || offset - hole >= land || offset == 0.0 || hole == 0.0 {
        return 360.0;
    }
    let cosine = (land * land - offset * offset - hole * hole) / (2.0 * offset * hole);
    2.0 * cosine.clamp(-1.0, 1.0).acos().to_degrees()
}

/// The breakout a product class allows, in degrees. IPC-6012, from secondary literature: 180, 90, none.
#[must_use]
pub const fn breakout_allowed_degrees(class: u8) -> u32 {
    match class {
        0 | 1 => 180,
        2 => 90,
        _ => 0,
    }
}

/// The nearest tool of a set with an even step; half a step goes up.
#[must_use]
pub const fn nearest_tool(size: Nm, step: Nm) -> Nm {
    if step <= 0 { size } else { (size + step / 2).div_euclid(step) * step }
}

/// Least land diameter for a hole: hole, twice the ring asked, and the allowance for making it (IPC-2221 §9.1.1).
#[must_use]
pub const fn least_land(hole: Nm, ring: Nm, allowance: Nm) -> Nm {
    hole + 2 * ring + allowance
}

/// Ring left by the tool: the drawn ring less half of what the tool is larger than the finished hole.
#[must_use]
pub const fn drilled_ring(drawn: Nm, allowance: Nm) -> Nm {
    drawn - (allowance + 1) / 2
}

/// Ring left at the worst registration.
#[must_use]
pub const fn made_ring(drilled: Nm, registration: Nm) -> Nm {
    drilled - registration
}

/// One copper layer in the build: its share of copper, its thickness and its height above the middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CopperInBuild {
    /// Share of the board, 0 to 1.
    pub share: f64,
    /// Thickness, in any one unit.
    pub thickness: f64,
    /// Height of its middle above the middle of the board, in that unit; negative below.
    pub height: f64,
}

/// How far the copper's centre lies off the middle of a board of some thickness: 0 balanced, 1 all in one face.
#[must_use]
pub fn warp_index(copper: &[CopperInBuild], board: f64) -> f64 {
    let weight: f64 = copper.iter().map(|c| c.share * c.thickness).sum();
    let moment: f64 = copper.iter().map(|c| c.share * c.thickness * c.height).sum();
    if weight > 0.0 && board > 0.0 { moment.abs() / (board / 2.0 * weight) } else { 0.0 }
}

/// Prepreg under an outer layer of a usual build (common practice, no source).
const PREPREG: f64 = 200_000.0;

/// What plating adds to an outer foil (common practice, no source).
const PLATING: f64 = 27_000.0;

/// A usual build for some shares of copper, from the top: plated outer layers, thin dielectric under
/// them and the rest shared out evenly.
#[must_use]
pub fn usual_build(shares: &[f64], board: Nm, outer: Nm, inner: Nm) -> Vec<CopperInBuild> {
    let n = shares.len();
    let last = n.saturating_sub(1);
    let thickness = |i: usize| if i == 0 || i == last { outer as f64 + PLATING } else { inner as f64 };
    let copper: f64 = (0..n).map(thickness).sum();
    let gaps = last as f64;
    let dielectric = (board as f64 - copper).max(0.0);
    let thin = if n > 3 { PREPREG.min(dielectric / gaps) } else { dielectric / gaps.max(1.0) };
    let rest = if n > 3 { (dielectric - 2.0 * thin) / (gaps - 2.0) } else { thin };
    let mut top = board as f64 / 2.0;
    let mut out = Vec::with_capacity(n);
    for (i, share) in shares.iter().enumerate() {
        let t = thickness(i);
        out.push(CopperInBuild { share: *share, thickness: t, height: top - t / 2.0 });
        top -= t + if i == 0 || i + 2 == n { thin } else { rest };
    }
    out
}
