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
