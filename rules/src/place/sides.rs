//! Which layers belong to one side, and which side that is.
//!
//! A mask belongs to the copper whose lands it opens over, paste to the mask it lies within, a legend
//! to the mask whose openings it keeps off and whose lands it draws round. Which of the two sides is
//! the top is told by the characters of the legends: those of the bottom read mirrored from the top.

use super::content::{Found, Layer};
use super::portrait::Portrait;
use crate::board::{Board, Doubt, Role, Side, Source};

/// How much better one pairing must be than the next.
const MARGIN: f64 = 0.02;
/// How clearly the legends must lean to one of two sides.
const LEANS: f64 = 0.05;
/// Weight of the characters needed to say which side is the top.
const CLEAR: f64 = 0.04;

/// Gives the layers found by content their sides; says what stays open. The set is `whole` where no file
/// with lands is left over that may belong to a side as well.
pub(super) fn settle(board: &Board, layers: &mut [Layer], whole: bool) -> Vec<Doubt> {
    let of = |role: Role| (0..layers.len()).filter(|i| layers[*i].found.role == role).collect::<Vec<_>>();
    let (mut coppers, masks, pastes, legends) = (of(Role::Copper), of(Role::Mask), of(Role::Paste), of(Role::Legend));
    let sided: Vec<usize> = [&coppers, &masks, &pastes, &legends].into_iter().flatten().copied().collect();
    if sided.iter().all(|i| layers[*i].known) {
        return Vec::new();
    }
    coppers.retain(|c| !(layers[*c].known && layers[*c].found.side == Some(Side::Inner)));
    let mut groups = pair(layers, &coppers, &masks);
    for paste in &pastes {
        let fit = |g: usize| groups.mask(g).map_or(0.0, |m| stands_on(&layers[*paste].portrait, &layers[m].portrait));
        groups.join(*paste, fit(0) - fit(1), layers);
    }
    groups.legends = legends.iter().map(|l| (*l, keeps_off(&layers[*l].portrait, &groups, layers))).collect();
    let top = groups.top(layers);
    groups.write(top.0, layers);
    let mut doubts = groups.doubts(board, layers);
    if !(top.1 && whole) {
        doubts.extend(groups.doubt_of_top(board, layers));
    }
    doubts
}

/// Two outer sides: the layers of each, and what could not be told.
#[derive(Debug, Default)]
struct Groups {
    members: [Vec<usize>; 2],
    masks: [Option<usize>; 2],
    /// Members whose place is a guess.
    unsure: Vec<usize>,
    /// Legends, and how clearly each leans to the first side.
    legends: Vec<(usize, f64)>,
    /// Copper that is on neither side.
    inner: Vec<usize>,
}

/// Masks, where there are, with the outer copper they open over.
type Pairs = Vec<(Option<usize>, Option<usize>)>;

/// How much of a layer stands on another: by centres where there are any beside holes, else by area.
fn stands_on(upper: &Portrait, lower: &Portrait) -> f64 {
    upper.lone_lands_on(lower).unwrap_or_else(|| upper.inside(lower))
}

/// Masks and outer copper in pairs.
fn pair(layers: &[Layer], coppers: &[usize], masks: &[usize]) -> Groups {
    let mut groups = Groups { unsure: masks.iter().skip(2).copied().collect(), ..Groups::default() };
    let ways = ways(layers, coppers, masks);
    let Some((best, pairs)) = ways.first() else { return groups };
    if ways.get(1).is_some_and(|next| best - next.0 < MARGIN) {
        groups.unsure.extend(pairs.iter().flat_map(|p| p.0.into_iter().chain(p.1)));
    }
    for (g, (mask, copper)) in pairs.iter().enumerate().take(2) {
        groups.masks[g] = *mask;
        groups.members[g].extend(mask.iter().chain(copper));
    }
    groups.inner = coppers.iter().copied().filter(|c| !pairs.iter().any(|p| p.1 == Some(*c))).collect();
    groups
}

/// Every way to give the masks their copper, the best first.
fn ways(layers: &[Layer], coppers: &[usize], masks: &[usize]) -> Vec<(f64, Pairs)> {
    let fit = |m: usize, c: Option<usize>| {
        let Some(copper) = c.map(|c| &layers[c].portrait) else { return 0.0 };
        stands_on(&layers[m].portrait, copper) + layers[m].portrait.inside(copper) * 0.5
    };
    let outer = outer_by_lands(layers, coppers);
    let mut ways: Vec<(f64, Pairs)> = match masks {
        [] => vec![(0.0, outer.into_iter().map(|c| (None, Some(c))).collect())],
        [mask] => {
            let other = |c: usize| outer.iter().copied().find(|o| *o != c).map(|o| (None, Some(o)));
            let pairs = |c: usize| std::iter::once((Some(*mask), Some(c))).chain(other(c)).collect();
            coppers.iter().map(|&c| (fit(*mask, Some(c)), pairs(c))).collect()
        }
        [a, b, ..] => {
            let choices = || coppers.iter().copied().map(Some).chain((coppers.len() < 2).then_some(None));
            let both = choices().flat_map(|c| choices().map(move |d| (c, d))).filter(|(c, d)| c != d);
            both.map(|(c, d)| (fit(*a, c) + fit(*b, d), vec![(Some(*a), c), (Some(*b), d)])).collect()
        }
    };
    ways.sort_by(|x, y| y.0.total_cmp(&x.0));
    ways
}

/// The two coppers with most lands beside holes.
fn outer_by_lands(layers: &[Layer], coppers: &[usize]) -> Vec<usize> {
    let mut order = coppers.to_vec();
    order.sort_by_key(|c| (std::cmp::Reverse(layers[*c].portrait.lone.count()), *c));
    order.truncate(2);
    order
}

/// How clearly a legend belongs to the first rather than to the second side: it draws round the lands
/// that only its own side has, and where it was cut by its own mask, only the other's openings touch it.
fn keeps_off(legend: &Portrait, groups: &Groups, layers: &[Layer]) -> f64 {
    let (Some(a), Some(b)) = (groups.masks[0], groups.masks[1]) else { return 0.0 };
    let (a, b) = (&layers[a].portrait, &layers[b].portrait);
    let ((near_a, lands_a), (near_b, lands_b)) = (legend.draws_round(a, b), legend.draws_round(b, a));
    let few = match (lands_a, lands_b) {
        (0, n) | (n, 0) => n,
        (n, m) => n.min(m),
    } as f64;
    let near = (near_a - near_b) * 0.5 * (few / (few + 20.0)).sqrt();
    let (over_a, over_b) = (legend.inside(a), legend.inside(b));
    let cut = if over_a.min(over_b) < 0.003 { 0.4 * (over_b - over_a) / (over_a + over_b + 0.005) } else { 0.0 };
    near + cut
}

impl Groups {
    fn mask(&self, group: usize) -> Option<usize> {
        self.masks[group]
    }

    /// Puts a layer to the side it leans to; positive is the first.
    fn join(&mut self, layer: usize, lean: f64, layers: &[Layer]) {
        let group = usize::from(lean < 0.0);
        if lean.abs() < MARGIN && !layers[layer].known {
            self.unsure.push(layer);
        }
        self.members[group].push(layer);
    }

    /// Which group is the top, and whether that is certain.
    fn top(&self, layers: &[Layer]) -> (usize, bool) {
        let known = |g: usize, side: Side| {
            self.members[g].iter().filter(|i| layers[**i].known && layers[**i].found.side == Some(side)).count() as f64
        };
        let said = known(0, Side::Top) + known(1, Side::Bottom) - known(0, Side::Bottom) - known(1, Side::Top);
        if said != 0.0 {
            return (usize::from(said < 0.0), true);
        }
        let lean = self.legends_lean(layers);
        let alone = self.members[0].len() + self.members[1].len() + self.inner.len() <= 1;
        if lean.abs() >= LEANS && self.legends_read(layers) >= CLEAR || alone {
            return (usize::from(lean < 0.0), true);
        }
        let lands = |g: usize| self.members[g].iter().map(|i| layers[*i].portrait.flashes).sum::<usize>();
        (if lean == 0.0 { usize::from(lands(1) > lands(0)) } else { usize::from(lean < 0.0) }, false)
    }

    /// How clearly the legends say that the first side is the top.
    fn legends_lean(&self, layers: &[Layer]) -> f64 {
        let signed = |(i, lean): &(usize, f64)| if layers[*i].found.side == Some(Side::Bottom) { -lean } else { *lean };
        self.legends.iter().map(signed).sum()
    }

    /// How clearly the characters of the legends say which of them is the top's.
    fn legends_read(&self, layers: &[Layer]) -> f64 {
        let weight = |i: usize| layers[i].portrait.reading.weight();
        let signed = |i: usize| if layers[i].found.side == Some(Side::Bottom) { -weight(i) } else { weight(i) };
        if self.legends.iter().any(|l| layers[l.0].known) {
            1.0
        } else {
            self.legends.iter().map(|l| signed(l.0)).sum()
        }
    }

    fn write(&mut self, top: usize, layers: &mut [Layer]) {
        for (g, members) in self.members.iter().enumerate() {
            let side = if g == top { Side::Top } else { Side::Bottom };
            for i in members.iter().filter(|i| !layers[**i].known).copied().collect::<Vec<_>>() {
                layers[i].found.side = Some(side);
            }
        }
        self.inner.sort_by_key(|i| std::cmp::Reverse(layers[*i].portrait.dark));
        for (rank, &i) in (1..).zip(&self.inner) {
            if !layers[i].known {
                layers[i].found.side = Some(Side::Inner);
                layers[i].found.rank = rank;
            }
        }
        layers
            .iter_mut()
            .filter(|l| !l.known && l.found.role == Role::Legend)
            .for_each(|l| say_reading(&mut l.found, &l.portrait));
    }

    /// Layers whose side is a guess.
    fn doubts(&self, board: &Board, layers: &mut [Layer]) -> Vec<Doubt> {
        let mut out = Vec::new();
        for &i in &self.unsure {
            let file = layers[i].portrait.file;
            let (path, known) = (&board.files[file].path, layers[i].known);
            let found = &mut layers[i].found;
            if known || found.confidence < super::content::SURE {
                continue;
            }
            found.confidence = 61;
            let side = found.side.unwrap_or(Side::Top);
            let other = if side == Side::Top { Side::Bottom } else { Side::Top };
            let word = found.role.word();
            out.push(Doubt {
                rule: "unclear-role",
                seen: format!("which side {path}, a {word} by its content, belongs to is not clear"),
                reasons: vec!["it fits the lands of both sides alike".to_owned()],
                sources: vec![Source { file: file as u32, line: 0 }],
                places: Vec::new(),
                readings: [side, other].map(|s| format!("{path} is {} {word}", s.word())).to_vec(),
            });
        }
        out
    }

    /// The doubt that all layers may be the other way round.
    fn doubt_of_top(&self, board: &Board, layers: &[Layer]) -> Option<Doubt> {
        let path = |i: &usize| board.files[layers[*i].portrait.file].path.clone();
        let files = |side: Side| {
            let all = self.members.iter().flatten().filter(|i| layers[**i].found.side == Some(side));
            all.map(path).collect::<Vec<_>>().join(", ")
        };
        let (top, bottom) = (files(Side::Top), files(Side::Bottom));
        let open: Vec<&usize> = self.members.iter().flatten().filter(|i| !layers[**i].known).collect();
        (!open.is_empty()).then(|| Doubt {
            rule: "unclear-role",
            seen: "which of the outer sides is the top is not stated, and the layers do not tell it for certain"
                .to_owned(),
            reasons: vec![format!("taken together by their lands: {top}; and {bottom}")],
            sources: open.iter().map(|i| Source { file: layers[**i].portrait.file as u32, line: 0 }).collect(),
            places: Vec::new(),
            readings: [(&top, &bottom), (&bottom, &top)]
                .into_iter()
                .filter(|(a, b)| !(a.is_empty() && b.is_empty()))
                .map(|(a, b)| {
                    if b.is_empty() {
                        format!("{a} is the top")
                    } else {
                        format!("the top is {}; the bottom is {b}", if a.is_empty() { "not there" } else { a })
                    }
                })
                .collect(),
        })
    }
}

fn say_reading(found: &mut Found, portrait: &Portrait) {
    let reading = portrait.reading;
    let way = if reading.lead > 0.0 { "as it is" } else { "mirrored" };
    if reading.weight().abs() >= CLEAR {
        found.evidence = format!("{}; its {} characters read best {way}", found.evidence, reading.characters);
    }
}
