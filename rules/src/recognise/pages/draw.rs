//! The small boards of the examples.

use std::collections::BTreeMap;

use landgap_parser::drill::HitShape;
use landgap_parser::image::Hole as ApertureHole;
use landgap_parser::kind::Kind;
use landgap_parser::netlist::{Access, Hole as StatedHole, Netlist, PointKind, TestPoint};
use landgap_parser::{
    Aperture, ApertureShape, Attribute, Contour, Edge, Image, Nm, Object, Point, Polarity, Shape, Turn,
};

use crate::board::{
    Board, CopperLayer, Hole, HoleKind, HolePlating, KnownBy, Outline, OutlineState, PlacedFile, Role, Side, SideLayer,
    Source,
};

/// A board in the making.
pub(super) struct Drawing {
    layers: u32,
    images: BTreeMap<String, Image>,
    holes: Vec<Hole>,
    outline: Vec<Contour>,
    netlist: Netlist,
    lines: u32,
}

impl Default for Drawing {
    fn default() -> Self {
        Self {
            layers: 2,
            images: BTreeMap::new(),
            holes: Vec::new(),
            outline: Vec::new(),
            netlist: Netlist::default(),
            lines: 0,
        }
    }
}

pub(super) fn nm(word: &str) -> Nm {
    (word.parse::<f64>().unwrap_or_else(|_| panic!("`{word}` is no number")) * 1e6).round() as Nm
}

/// The numbers a line goes on with, up to its first word.
fn lengths(words: &[&str]) -> Vec<Nm> {
    words.iter().take_while(|w| w.parse::<f64>().is_ok()).map(|w| nm(w)).collect()
}

fn points(lengths: &[Nm]) -> Vec<Point> {
    lengths.chunks_exact(2).map(|p| Point::new(p[0], p[1])).collect()
}

/// Two corners stand for a rectangle.
fn corners(words: &[&str]) -> Vec<Point> {
    match points(&lengths(words)).as_slice() {
        [a, b] => vec![*a, Point::new(b.x, a.y), *b, Point::new(a.x, b.y)],
        all => all.to_vec(),
    }
}

fn contour(corners: &[Point], line: u32) -> Contour {
    let edges = corners.iter().skip(1).chain(corners.first()).map(|to| Edge::Line { to: *to }).collect();
    Contour { start: corners[0], edges, line }
}

fn after<'a>(words: &[&'a str], word: &str) -> Option<&'a str> {
    words.iter().position(|w| *w == word).map(|i| words[i + 1])
}

/// How often a line is drawn, and how far apart.
fn copies(words: &[&str]) -> Vec<Point> {
    let Some(from) = words.iter().position(|w| *w == "repeat") else { return vec![Point::default()] };
    let count = |i: usize| words[from + i].parse::<Nm>().expect("a number of copies");
    let (dx, dy) = (nm(words[from + 3]), nm(words[from + 4]));
    let rows = count(2);
    (0..count(1)).flat_map(|x| (0..rows).map(move |y| Point::new(x * dx, y * dy))).collect()
}

impl Drawing {
    pub(super) fn line(&mut self, line: &str) {
        self.lines += 1;
        let words: Vec<&str> = line.split_whitespace().collect();
        let (first, rest) = (words[0], &words[1..]);
        match first {
            "copper" => self.layers = rest[0].parse().expect("number of layers"),
            "outline" | "cutout" if rest[0].parse::<f64>().is_ok() => {
                self.outline.push(contour(&corners(rest), self.lines))
            }
            "hole" | "slot" => {
                copies(rest).into_iter().for_each(|by| self.holes.push(hole(first == "slot", rest, by, self.lines)));
            }
            "netlist" => {
                copies(rest).into_iter().for_each(|by| self.netlist.points.push(stated(rest, by, self.lines)));
            }
            _ => copies(rest).into_iter().for_each(|by| self.object(first, rest, by)),
        }
    }

    fn object(&mut self, layer: &str, words: &[&str], by: Point) {
        let line = self.lines;
        let image = self.images.entry(layer.to_owned()).or_insert_with(|| Image {
            attribute_sets: vec![Vec::new()],
            step: 1,
            ..Image::default()
        });
        let shape = shape(image, words, by);
        let polarity = if words.contains(&"clear") { Polarity::Clear } else { Polarity::Dark };
        let attributes = attributes(image, words);
        image.objects.push(Object { shape, polarity, attributes, line });
    }

    pub(super) fn board(mut self) -> Board {
        let mut board = Board { holes: self.holes, ..Board::default() };
        if !self.outline.is_empty() {
            board.outline =
                Outline { state: OutlineState::Closed, contours: self.outline, step: 1, ..Outline::default() };
        }
        if !self.netlist.points.is_empty() {
            let file = file(&mut board, Role::Netlist, Image::default());
            board.images[file as usize] = None;
            board.netlists.push((file, self.netlist));
        }
        for number in 1..=self.layers {
            let side = match number {
                1 => Side::Top,
                n if n == self.layers => Side::Bottom,
                _ => Side::Inner,
            };
            let image = self.images.remove(&number.to_string()).unwrap_or_default();
            let file = file(&mut board, Role::Copper, image);
            board.copper.push(CopperLayer { number, side, file, negative: false });
        }
        for (name, image) in self.images {
            let (word, side) = name.split_once('-').unwrap_or((&name, ""));
            let side = if side == "bottom" { Side::Bottom } else { Side::Top };
            match word {
                "outline" => _ = file(&mut board, Role::Outline, image),
                "score" => {
                    let values = vec!["Vcut".to_owned()];
                    let name = ".FileFunction".to_owned();
                    let stated = landgap_parser::image::FileAttribute { name, values, line: 1, in_comment: false };
                    _ = file(&mut board, Role::Other, Image { file_attributes: vec![stated], ..image });
                }
                _ => {
                    let (role, list): (Role, fn(&mut Board) -> &mut Vec<SideLayer>) = match word {
                        "mask" => (Role::Mask, |b| &mut b.masks),
                        "paste" => (Role::Paste, |b| &mut b.pastes),
                        "legend" => (Role::Legend, |b| &mut b.legends),
                        other => panic!("`{other}` is no layer"),
                    };
                    let file = file(&mut board, role, image);
                    list(&mut board).push(SideLayer { side, file });
                }
            }
        }
        board
    }
}

fn file(board: &mut Board, role: Role, image: Image) -> u32 {
    let number = board.files.len() as u32;
    board.files.push(PlacedFile {
        path: format!("{number}"),
        bytes: 0,
        kind: Kind::Artwork,
        role,
        side: None,
        layer: None,
        span: None,
        known_by: KnownBy::Told,
        confidence: 100,
        evidence: Vec::new(),
        runner_up: None,
        remarks: Vec::new(),
        format: None,
    });
    board.images.push(Some(image));
    number
}

fn aperture(image: &mut Image, shape: ApertureShape) -> u32 {
    let same = |a: &Aperture| format!("{:?}", a.shape) == format!("{shape:?}");
    if let Some(known) = image.apertures.iter().position(same) {
        return known as u32;
    }
    let number = image.apertures.len() as u32;
    image.apertures.push(Aperture { number: 10 + number, shape, line: 0, attributes: 0 });
    number
}

fn disc(diameter: Nm) -> ApertureShape {
    ApertureShape::Circle { diameter, hole: ApertureHole::None }
}

fn shape(image: &mut Image, words: &[&str], by: Point) -> Shape {
    let moved = |p: Point| Point::new(p.x + by.x, p.y + by.y);
    let numbers = &words[1..];
    match words[0] {
        "flash" => {
            let size = lengths(&words[4..]);
            let own = match words[3] {
                "round" => disc(size[0]),
                "rect" => ApertureShape::Rectangle { width: size[0], height: size[1], hole: ApertureHole::None },
                other => panic!("`{other}` is no shape"),
            };
            let at = moved(points(&lengths(numbers))[0]);
            Shape::Flash { aperture: aperture(image, own), at, turn: Turn::NONE }
        }
        "stroke" => {
            let aperture = aperture(image, disc(nm(after(words, "width").expect("a width"))));
            let path: Vec<Point> = points(&lengths(numbers)).into_iter().map(moved).collect();
            let attributes = attributes(image, words);
            let polarity = if words.contains(&"clear") { Polarity::Clear } else { Polarity::Dark };
            let draw = |w: &[Point]| Shape::Draw { aperture, from: w[0], to: w[1], turn: Turn::NONE };
            // All pieces but the last are put down here; the caller puts down the last.
            let pieces = path.windows(2).take(path.len() - 2);
            image.objects.extend(pieces.map(|w| Object { shape: draw(w), polarity, attributes, line: 0 }));
            draw(&path[path.len() - 2..])
        }
        "fill" => {
            let corners: Vec<Point> = corners(numbers).into_iter().map(moved).collect();
            Shape::Region { contours: vec![contour(&corners, 0)].into(), offset: Point::default() }
        }
        other => panic!("`{other}` is nothing that can be drawn"),
    }
}

fn attributes(image: &mut Image, words: &[&str]) -> u32 {
    let names = [("as", ".AperFunction"), ("net", ".N"), ("part", ".P")];
    let own = names.into_iter().filter_map(|(word, name)| {
        let values = after(words, word)?.split(',').map(str::to_owned).collect();
        Some(Attribute { name: name.to_owned(), values })
    });
    let set: Vec<Attribute> = own.collect();
    if let Some(known) = image.attribute_sets.iter().position(|s| *s == set) {
        return known as u32;
    }
    image.attribute_sets.push(set);
    image.attribute_sets.len() as u32 - 1
}

/// First and last layer of a hole; all of them where none are named.
fn span(words: &[&str]) -> (u32, u32) {
    let Some(i) = words.iter().position(|w| *w == "span") else { return (1, 99) };
    let layer = |n: usize| words[i + n].parse().expect("a copper layer");
    (layer(1), layer(2))
}

/// A point of a netlist: each is its own net.
fn stated(words: &[&str], by: Point, line: u32) -> TestPoint {
    let via = words[0] == "via";
    let corner = points(&lengths(&words[1..]))[0];
    let at = Point::new(corner.x + by.x, corner.y + by.y);
    let plated = match (words.contains(&"plated"), words.contains(&"unplated")) {
        (true, _) => Some(true),
        (_, true) => Some(false),
        _ => None,
    };
    TestPoint {
        net: Some(format!("N{line}-{}-{}", at.x, at.y)),
        kind: PointKind::ThroughHole,
        component: (!via).then(|| "J1".to_owned()),
        pin: (!via).then(|| "1".to_owned()),
        via,
        mid_net: false,
        holes: vec![StatedHole { at, diameter: None, plated, line }],
        lands: Vec::new(),
        side: Access::Both,
        at,
        size_x: 0,
        size_y: 0,
        rotation_deg: None,
        mask: None,
        span: None,
        location: None,
        line,
    }
}

fn hole(is_slot: bool, words: &[&str], by: Point, line: u32) -> Hole {
    let plating = match words[0] {
        "plated" => HolePlating::Plated,
        "unplated" => HolePlating::Unplated,
        "unclear" => HolePlating::Unclear,
        other => panic!("`{other}` is no plating"),
    };
    let numbers = lengths(&words[1..]);
    let ends: Vec<Point> = points(&numbers).into_iter().map(|p| Point::new(p.x + by.x, p.y + by.y)).collect();
    let shape = if is_slot { HitShape::Slot { from: ends[0], to: ends[1] } } else { HitShape::Hole { at: ends[0] } };
    Hole {
        shape,
        finished: numbers.last().copied(),
        plating,
        kind: HoleKind::Unclear,
        span: span(words),
        source: Source { file: 0, line },
        step: 1,
        function: after(words, "as").map(str::to_owned),
        tolerance: None,
        reasons: Vec::new(),
    }
}
