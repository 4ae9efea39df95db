//! A name for a query that survives re-export and a shift of the data.

use super::QueryPlace;
use super::words::whole_micrometres;

const BASIS: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;

/// FNV-1a, 128 bits.
pub(super) fn fnv(text: &str) -> u128 {
    text.bytes().fold(BASIS, |hash, byte| (hash ^ u128::from(byte)).wrapping_mul(PRIME))
}

/// The fingerprint of a query: what it asks (`head`), its values in whole micrometres, and where its places lie
/// relative to the lowest of them.
pub(super) fn of(head: &str, places: &[QueryPlace]) -> String {
    let mut sorted: Vec<&QueryPlace> = places.iter().collect();
    sorted.sort_by_key(|p| (p.at, p.layer, p.measured));
    let mut text = head.to_owned();
    if let Some(first) = sorted.first().map(|p| p.at) {
        for place in sorted {
            let value = place.measured.map_or_else(|| "-".to_owned(), |v| whole_micrometres(v).to_string());
            let layer = place.layer.map_or_else(String::new, crate::board::LayerRef::name);
            let (x, y) = (whole_micrometres(place.at.x - first.x), whole_micrometres(place.at.y - first.y));
            text.push_str(&format!("|{layer} {x} {y} {value}"));
        }
    }
    format!("{:032x}", fnv(&text))
}

#[cfg(test)]
mod tests {
    /// Test vectors published with the hash's definition.
    #[test]
    fn hash_is_the_published_one() {
        assert_eq!(super::fnv(""), super::BASIS);
        assert_eq!(super::fnv("a"), 0xd228_cb69_6f1a_8caf_7891_2b70_4e4a_8964);
    }
}
