//! Regions: contours gathered between G36 and G37.

use std::sync::Arc as Shared;

use super::arc::{Path, Steps};
use super::codes;
use super::coordinate::Scale;
use super::notes::note;
use super::state::{Position, Reader};
use crate::image::{Contour, Edge, Object, Polarity, Shape};
use crate::limits::{LimitReached, Limits};
use crate::point::Point;
use crate::remark::Place;

/// A region whose G37 has not come yet.
#[derive(Debug)]
pub struct OpenRegion {
    place: Place,
    polarity: Polarity,
    attributes: u32,
    contours: Vec<Contour>,
    current: Option<OpenContour>,
    /// A move stood in it.
    moved: bool,
    /// The other polarity was set in it.
    toggled: Option<Place>,
    /// Something was drawn in it, used or not.
    drawn: bool,
}

#[derive(Debug)]
struct OpenContour {
    place: Place,
    start: Position,
    end: Steps,
    edges: Vec<Edge>,
    lost: bool,
    /// No move led to its start.
    no_move: bool,
}

impl Reader<'_> {
    /// `G36`.
    pub fn open_region(&mut self, place: Place) -> Result<(), LimitReached> {
        if self.region.is_some() {
            note(&mut self.remarks, &codes::REGION_NESTED, place, || ("G36 inside a region".into(), "G37".into()));
            return Ok(());
        }
        let aperture = self.attributes.aperture_set(place.line)?;
        let attributes = self.attributes.object_set(aperture, place.line)?;
        self.region = Some(OpenRegion {
            place,
            polarity: self.polarity,
            attributes,
            contours: Vec::new(),
            current: None,
            moved: false,
            toggled: None,
            drawn: false,
        });
        Ok(())
    }

    /// `G37`.
    pub fn end_region(&mut self, place: Place) -> Result<(), LimitReached> {
        if self.region.is_none() {
            note(&mut self.remarks, &codes::REGION_NOT_OPEN, place, || ("G37 without G36".into(), String::new()));
            return Ok(());
        }
        self.close_region()
    }

    /// Makes the open region an object.
    pub fn close_region(&mut self) -> Result<(), LimitReached> {
        self.finish_contour();
        let Some(region) = self.region.take() else { return Ok(()) };
        if !region.drawn {
            note(&mut self.remarks, &codes::REGION_EMPTY, region.place, || {
                ("a region without contour".into(), "D02 and D01 between G36 and G37".into())
            });
        }
        if region.contours.is_empty() {
            return Ok(());
        }
        if let Some(place) = region.toggled {
            self.tell_polarity(&region.contours, place);
        }
        let shape = Shape::Region { contours: Shared::new(region.contours), offset: Point::default() };
        self.push(Object { shape, polarity: region.polarity, attributes: region.attributes, line: region.place.line })
    }

    /// `LP`; inside a region it counts for what follows, but may have been meant for the region.
    pub fn set_polarity(&mut self, polarity: Polarity) {
        self.polarity = polarity;
        let place = self.place();
        if let Some(region) = self.region.as_mut().filter(|r| r.polarity != polarity) {
            region.toggled.get_or_insert(place);
        }
    }

    /// A move (or a flash, which should not be there) ends the contour.
    pub fn end_contour(&mut self) {
        self.finish_contour();
        if let Some(region) = &mut self.region {
            region.moved = true;
        }
    }

    /// What is drawn next cannot be known: the contour at work is of no use.
    pub fn lose_contour(&mut self) {
        let place = self.place();
        let position = self.position;
        let Some(region) = &mut self.region else { return };
        region.drawn = true;
        let open = region.current.get_or_insert_with(|| OpenContour {
            place,
            start: position,
            end: position.steps,
            edges: Vec::new(),
            lost: true,
            no_move: false,
        });
        open.lost = true;
    }

    /// One edge of the contour at work.
    #[inline]
    pub fn add_edge(
        &mut self,
        path: Path,
        scale: &Scale,
        from: Position,
        to: Position,
        place: Place,
    ) -> Result<(), LimitReached> {
        let opens = self.region.as_ref().is_some_and(|r| r.current.is_none());
        self.cost.add_vertices(if opens { 2 } else { 1 }, self.limits, place.line)?;
        let Some(region) = &mut self.region else { return Ok(()) };
        region.drawn = true;
        let no_move = !std::mem::replace(&mut region.moved, true);
        let open = region.current.get_or_insert_with(|| OpenContour {
            place,
            start: from,
            end: from.steps,
            edges: Vec::new(),
            lost: false,
            no_move,
        });
        open.end = to.steps;
        let corners = (open.edges.len() as u64).saturating_add(1);
        Limits::check("contour", self.limits.contour, corners, place.line)?;
        match path {
            Path::Line if from.point == to.point => {}
            Path::Line => open.edges.push(Edge::Line { to: to.point }),
            Path::Arc { centre, counter_clockwise } => match (scale.nm(centre.0), scale.nm(centre.1)) {
                (Some(x), Some(y)) => {
                    open.edges.push(Edge::Arc { to: to.point, centre: Point::new(x, y), counter_clockwise })
                }
                _ => open.lost = true,
            },
        }
        Ok(())
    }

    /// Closes the contour at work, if there is one, and keeps it where it has an area.
    fn finish_contour(&mut self) {
        let Some(region) = &mut self.region else { return };
        let Some(mut open) = region.current.take() else { return };
        let place = open.place;
        if open.lost {
            note(&mut self.remarks, &codes::CONTOUR_LOST, place, || {
                ("a contour with a coordinate that cannot be read".into(), String::new())
            });
            return;
        }
        let start = open.start;
        let gap = open.end.0.abs_diff(start.steps.0).max(open.end.1.abs_diff(start.steps.1));
        if open.no_move {
            self.tell_no_move(start.point, &open.edges, place);
        }
        if gap > 0 {
            self.tell_gap(start.point, &open.edges, gap, place);
            open.edges.push(Edge::Line { to: start.point });
        }
        let flat = open.edges.len() < 3 && open.edges.iter().all(|e| matches!(e, Edge::Line { .. }));
        if flat {
            note(&mut self.remarks, &codes::CONTOUR_FLAT, place, || {
                ("a contour without area".into(), "three corners or an arc".into())
            });
            return;
        }
        open.edges.shrink_to_fit();
        let contour = Contour { start: start.point, edges: open.edges, line: place.line };
        self.check_contour(&contour, place);
        if let Some(region) = &mut self.region {
            region.contours.push(contour);
        }
    }
}
