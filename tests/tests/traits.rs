//! Every trait of the real sets, one test each: the table beside the sets says which set has which,
//! and how many arcs, regions and slots another program counted; we must find the same.
//!
//! Where the table is exhaustive the test runs both ways: a set without the trait must not show it.
//! Sets are optional; without them the tests say so and pass.

#[path = "traits/artwork.rs"]
mod artwork;
#[path = "traits/drill.rs"]
mod drill;
#[path = "traits/harness.rs"]
mod harness;
#[path = "traits/remarks.rs"]
mod remarks;
mod support;

use harness::all;

/// Every trait of the table is one that a test here looks for.
#[test]
fn every_trait_of_the_table_has_its_test() {
    const WORDS: [&str; 28] = [
        "no-attr",
        "X2-attr",
        "X2-in-G04",
        "X2-net/comp-attr",
        "macros(",
        "arcs:",
        "regions:",
        "clear-polarity",
        "zero-size-aperture",
        "aperture-with-hole",
        "empty-layers",
        "bare-D01/D02/D03-words",
        "G54-select",
        "several-commands-in-one-%-block",
        "EOL:",
        "G74",
        "mirror-MI",
        "coords-without-D-code",
        "stroke-filled-copper",
        "drill-as-Gerber",
        "drill[",
        "drill-without-M48",
        "drill-repeat-R",
        "no-tool-codes",
        "G85-slots:",
        "routed-slots",
        "2-drill-files",
        "FS",
    ];
    let Some(sets) = all() else { return };
    assert_eq!(sets.len(), 29);
    for set in sets {
        for word in &set.traits {
            assert!(WORDS.iter().any(|w| word.starts_with(w)), "{}: no test for the trait {word}", set.name);
        }
    }
}
