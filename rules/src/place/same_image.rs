//! Whether two files draw the same image, however they write it.

use landgap_parser::{Image, Object, Polarity, Shape};

/// More objects than this are compared in the order they stand in.
const SORTED: usize = 500_000;

/// The same objects with the same apertures; where nothing is cut out again, in any order and however often.
pub(super) fn is_same(a: &Image, b: &Image) -> bool {
    let all_dark = |image: &Image| image.objects.iter().all(|o| o.polarity == Polarity::Dark);
    let any_order = all_dark(a) && all_dark(b) && a.objects.len().max(b.objects.len()) <= SORTED;
    if !any_order {
        return a.objects.len() == b.objects.len()
            && a.objects.iter().zip(&b.objects).all(|(p, q)| words(a, p) == words(b, q));
    }
    sorted(a) == sorted(b)
}

fn sorted(image: &Image) -> Vec<String> {
    let mut list: Vec<String> = image.objects.iter().map(|o| words(image, o)).collect();
    list.sort_unstable();
    list.dedup();
    list
}

/// Everything an object draws, with its aperture spelt out.
fn words(image: &Image, object: &Object) -> String {
    let aperture = |number: u32| image.apertures.get(number as usize).map(|a| &a.shape);
    let polarity = object.polarity;
    match &object.shape {
        Shape::Flash { aperture: n, at, turn } => format!("{polarity:?} {at:?} {turn:?} {:?}", aperture(*n)),
        Shape::Draw { aperture: n, from, to, turn } => {
            // A stroke is the same from either end.
            format!("{polarity:?} {:?} {:?} {turn:?} {:?}", from.min(to), from.max(to), aperture(*n))
        }
        Shape::Arc { aperture: n, arc, turn } => format!("{polarity:?} {arc:?} {turn:?} {:?}", aperture(*n)),
        Shape::Region { contours, offset } => {
            let outlines: Vec<_> = contours.iter().map(|c| (c.start, &c.edges)).collect();
            format!("{polarity:?} {outlines:?} {offset:?}")
        }
    }
}
