//! Operations: moves, draws and flashes.

use super::arc::{self, Path, Said, Steps};
use super::codes;
use super::command::{Act, Operation, PlotMode};
use super::coordinate::{Coordinate, Format, Scale, Unreadable};
use super::notes::note;
use super::state::{Position, Reader, Stroke, Tool, Trust};
use super::unclear;
use crate::image::{Arc, Object, Shape};
use crate::length::COORDINATE_MAX;
use crate::limits::LimitReached;
use crate::point::Point;
use crate::remark::Place;

/// Centres further out than this belong to no arc on a board.
const CENTRE_MAX: i64 = 100 * COORDINATE_MAX;

impl Reader<'_> {
    /// One coordinate word.
    #[inline]
    pub fn operate(&mut self, operation: &Operation, place: Place) -> Result<(), LimitReached> {
        let act = self.act(operation, place);
        let Some((format, scale)) = self.ready.or_else(|| self.find_ready()) else { return Ok(()) };
        let from = self.position;
        let to = self.target(operation, act, &format, &scale, place);
        self.position = to;
        if act != Act::Draw && (operation.i.is_present() || operation.j.is_present()) {
            self.tell_unused_offsets(place);
        }
        match act {
            Act::Move => {
                if self.region.is_some() {
                    self.end_contour();
                }
                Ok(())
            }
            Act::Draw => self.draw(operation, &format, &scale, (from, to), place),
            Act::Flash => self.flash(to, place),
        }
    }

    fn tell_unused_offsets(&mut self, place: Place) {
        note(&mut self.remarks, &codes::OFFSETS_UNUSED, place, || {
            ("I or J without an arc".into(), "X and Y only".into())
        });
    }

    /// What the word does; without a D code, what the word before it did.
    #[inline]
    fn act(&mut self, operation: &Operation, place: Place) -> Act {
        if let Some(act) = operation.act {
            self.last_act = Some((act, act == Act::Draw));
            return act;
        }
        match self.last_act {
            Some((Act::Draw, true)) => {
                note(&mut self.remarks, &codes::MODAL_DRAW, place, || {
                    ("coordinates without D code after a draw".into(), "D01".into())
                });
                Act::Draw
            }
            Some((act, _)) => {
                note(&mut self.remarks, &codes::OPERATION_MISSING, place, || {
                    ("coordinates without D code, not right after a draw".into(), "D01, D02 or D03".into())
                });
                act
            }
            None => {
                note(&mut self.remarks, &codes::OPERATION_NONE, place, || {
                    ("coordinates without D code before any operation".into(), "D01, D02 or D03".into())
                });
                Act::Move
            }
        }
    }

    /// Where the word leads.
    #[inline]
    fn target(&mut self, o: &Operation, act: Act, format: &Format, scale: &Scale, place: Place) -> Position {
        let from = self.position;
        let both = o.x.is_present() && o.y.is_present();
        if !both && from.trust != Trust::Known {
            let bare_move = act == Act::Move && !o.x.is_present() && !o.y.is_present();
            if from.trust == Trust::Lost || bare_move {
                return from;
            }
            note(&mut self.remarks, &codes::POINT_UNDEFINED, place, || {
                ("X or Y left out while there is no current point".into(), "both X and Y".into())
            });
        }
        let read = |reader: &mut Self, c: Coordinate, is_x: bool, old: i64| -> Result<i64, Unreadable> {
            if !c.is_present() {
                return Ok(old);
            }
            if format.has_extra_digits(c, is_x) {
                reader.tell_extra_digits(c, place);
            }
            let steps = format.steps(c, is_x)?;
            if reader.incremental { steps.checked_add(old).ok_or(Unreadable::Range) } else { Ok(steps) }
        };
        let steps = read(self, o.x, true, from.steps.0).and_then(|x| Ok((x, read(self, o.y, false, from.steps.1)?)));
        match steps.and_then(|steps| Ok((steps, in_range(steps, scale, COORDINATE_MAX).ok_or(Unreadable::Range)?))) {
            Ok((steps, point)) => Position { steps, point, trust: Trust::Known },
            Err(why) => {
                self.tell_unreadable(why, place);
                Position { trust: Trust::Lost, ..from }
            }
        }
    }

    fn tell_extra_digits(&mut self, c: Coordinate, place: Place) {
        note(&mut self.remarks, &codes::EXTRA_DIGITS, place, || {
            (format!("a coordinate of {} digits", c.digits()), "no more digits than the format has".into())
        });
    }

    fn tell_unreadable(&mut self, why: Unreadable, place: Place) {
        let (code, found) = match why {
            Unreadable::Point => (&codes::DECIMAL_POINT, "a coordinate with a decimal point"),
            Unreadable::Unplaced => {
                (&codes::TOO_MANY_DIGITS, "a coordinate with more digits than the format, which omits trailing zeros")
            }
            Unreadable::Range => (&codes::OUT_OF_RANGE, "a coordinate more than one metre from the origin"),
        };
        note(&mut self.remarks, code, place, || (found.into(), "a coordinate in the format of the file".into()));
    }

    fn draw(
        &mut self,
        o: &Operation,
        format: &Format,
        scale: &Scale,
        (from, to): (Position, Position),
        place: Place,
    ) -> Result<(), LimitReached> {
        if from.trust == Trust::Lost || to.trust == Trust::Lost {
            self.lose_contour();
            return Ok(());
        }
        if from.trust == Trust::Undefined {
            note(&mut self.remarks, &codes::POINT_UNDEFINED, place, || {
                ("a draw while there is no current point".into(), "a move (D02) before it".into())
            });
        }
        let Some(path) = self.path(o, format, scale, (from.steps, to.steps), place) else {
            self.lose_contour();
            return Ok(());
        };
        if self.region.is_some() {
            return self.add_edge(path, scale, from, to, place);
        }
        self.stroke(path, scale, (from.point, to.point), place)
    }

    /// How the pen travels; `None` where that cannot be known.
    #[inline]
    fn path(
        &mut self,
        o: &Operation,
        format: &Format,
        scale: &Scale,
        ends: (Steps, Steps),
        place: Place,
    ) -> Option<Path> {
        let counter_clockwise = match self.plot_mode {
            Some(PlotMode::CounterClockwise) => true,
            Some(PlotMode::Clockwise) => false,
            other => {
                if other.is_none() {
                    note(&mut self.remarks, &codes::PLOT_MODE_UNDEFINED, place, || {
                        ("a draw before G01, G02 or G03".into(), "G01".into())
                    });
                    self.plot_mode = Some(PlotMode::Linear);
                }
                if o.i.is_present() || o.j.is_present() {
                    self.tell_unused_offsets(place);
                }
                return Some(Path::Line);
            }
        };
        self.arc(o, format, scale, ends, counter_clockwise, place)
    }

    fn arc(
        &mut self,
        o: &Operation,
        format: &Format,
        scale: &Scale,
        (from, to): (Steps, Steps),
        counter_clockwise: bool,
        place: Place,
    ) -> Option<Path> {
        let multi_quadrant = self.multi_quadrant.unwrap_or(true);
        if o.i.is_present() != o.j.is_present() {
            note(&mut self.remarks, &codes::OFFSET_MISSING, place, || {
                ("an arc with only one of I and J".into(), "both".into())
            });
        }
        if !multi_quadrant && (o.i.value() < 0 || o.j.value() < 0) {
            note(&mut self.remarks, &codes::OFFSET_SIGNED, place, || {
                ("a signed I or J under G74".into(), "no sign".into())
            });
        }
        let read = |c: Coordinate, is_x| if c.is_present() { format.steps(c, is_x) } else { Ok(0) };
        let offset = match read(o.i, true).and_then(|i| Ok((i, read(o.j, false)?))) {
            Ok(offset) if in_range(offset, scale, CENTRE_MAX).is_some() => offset,
            Ok(_) => {
                self.tell_unreadable(Unreadable::Range, place);
                return None;
            }
            Err(why) => {
                self.tell_unreadable(why, place);
                return None;
            }
        };
        let words = arc::Words { from, to, offset, counter_clockwise, multi_quadrant, step: scale.exact_step() };
        let (path, said) = arc::path(&words);
        if self.multi_quadrant.is_none() {
            let single = arc::path(&arc::Words { multi_quadrant: false, ..words }).0;
            let between = arc::between(&words, &path, &single);
            self.tell_course(
                &words,
                scale,
                place,
                Said::new(&codes::QUADRANT_UNDEFINED, "an arc before G75", "G75", between),
            );
        }
        if let Some(said) = said {
            self.tell_course(&words, scale, place, said);
        }
        Some(path)
    }

    /// A remark on an arc, with the area between the courses it may take.
    fn tell_course(&mut self, words: &arc::Words, scale: &Scale, place: Place, said: Said) {
        if said.between <= 0.0 {
            return note(&mut self.remarks, said.code, place, || (said.found, said.expected.into()));
        }
        let area = said.between * words.step * words.step;
        let chord = (words.to.0.abs_diff(words.from.0) as f64).hypot(words.to.1.abs_diff(words.from.1) as f64);
        let thick = area / (chord * words.step).max(area.sqrt());
        let at = in_range(words.to, scale, COORDINATE_MAX).unwrap_or_default();
        self.tell_two(said.code, place, unclear::bare(at, place, area, thick), || (said.found, said.expected.into()));
    }

    /// Draws with the current aperture.
    #[inline]
    fn stroke(
        &mut self,
        path: Path,
        scale: &Scale,
        (from, to): (Point, Point),
        place: Place,
    ) -> Result<(), LimitReached> {
        let (aperture, own) = match self.tool {
            Some(Tool::Plain { index, stroke, attributes }) => {
                if stroke != Stroke::Circle {
                    self.tell_stroke(stroke, place);
                }
                (index, attributes)
            }
            other => {
                self.tell_no_pen(other, place);
                return Ok(());
            }
        };
        let turn = self.turn;
        let shape = match path {
            Path::Arc { centre, counter_clockwise } => {
                let Some(centre) = in_range(centre, scale, 2 * CENTRE_MAX) else { return Ok(()) };
                Shape::Arc { aperture, arc: Arc { from, to, centre, counter_clockwise }, turn }
            }
            Path::Line => {
                if from == to {
                    note(&mut self.remarks, &codes::DOT_DRAWN, place, || ("a draw of no length".into(), String::new()));
                }
                Shape::Draw { aperture, from, to, turn }
            }
        };
        self.push_shape(shape, own, place)
    }

    fn tell_stroke(&mut self, stroke: Stroke, place: Place) {
        let (code, found) = match stroke {
            Stroke::Rectangle => (&codes::RECTANGLE_STROKE, "a line drawn with a rectangle"),
            _ => (
                &codes::STROKE_OTHER,
                "a line drawn with an aperture that is neither a solid circle nor a solid rectangle",
            ),
        };
        note(&mut self.remarks, code, place, || (found.into(), "a solid circle".into()));
    }

    /// Why nothing can be drawn or flashed; an undefined aperture was told of when it was selected.
    fn tell_no_pen(&mut self, tool: Option<Tool>, place: Place) {
        match tool {
            Some(Tool::Block { .. }) => note(&mut self.remarks, &codes::STROKE_BLOCK, place, || {
                ("a line drawn with a block aperture".into(), "a solid circle".into())
            }),
            None => note(&mut self.remarks, &codes::APERTURE_NONE, place, || {
                ("an operation before any aperture is selected".into(), "Dnn before it".into())
            }),
            _ => {}
        }
    }

    fn push_shape(&mut self, shape: Shape, own: u32, place: Place) -> Result<(), LimitReached> {
        let attributes = self.attributes.object_set(own, place.line)?;
        self.push(Object { shape, polarity: self.polarity, attributes, line: place.line })
    }

    #[inline]
    fn flash(&mut self, to: Position, place: Place) -> Result<(), LimitReached> {
        if self.region.is_some() {
            note(&mut self.remarks, &codes::REGION_FLASH, place, || {
                ("a flash inside a region".into(), "D01 and D02 only".into())
            });
            self.end_contour();
            return Ok(());
        }
        if to.trust == Trust::Lost {
            return Ok(());
        }
        match self.tool {
            Some(Tool::Plain { index, attributes, .. }) => {
                self.push_shape(Shape::Flash { aperture: index, at: to.point, turn: self.turn }, attributes, place)
            }
            Some(Tool::Block { index }) => self.flash_block(index, to.point, place),
            other => {
                self.tell_no_pen(other, place);
                Ok(())
            }
        }
    }
}

/// The point, where it lies within `most` of the origin on both axes.
#[inline]
pub fn in_range((x, y): Steps, scale: &Scale, most: i64) -> Option<Point> {
    let (x, y) = (scale.nm(x)?, scale.nm(y)?);
    let inside = x.unsigned_abs() <= most.unsigned_abs() && y.unsigned_abs() <= most.unsigned_abs();
    inside.then(|| Point::new(x, y))
}
