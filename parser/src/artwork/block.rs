//! Block apertures and step and repeat: objects gathered, then copied.

use std::collections::BTreeMap;
use std::sync::Arc as Shared;

use super::codes;
use super::command::Text;
use super::notes::{note, show};
use super::number;
use super::placing::{self, Bounds};
use super::state::{Reader, Tool, Trust};
use crate::image::{Object, Polarity, Shape};
use crate::length::{self, Decimal, Nm, Unit};
use crate::limits::{LimitReached, Limits};
use crate::point::Point;
use crate::remark::Place;

/// A finished block aperture.
#[derive(Clone, Debug)]
pub struct Block {
    objects: Shared<Vec<(Object, Bounds)>>,
    attributes: u32,
}

/// A block or repeat that is still open.
#[derive(Debug)]
pub struct Scope {
    kind: Kind,
    place: Place,
    pub objects: Vec<Object>,
}

#[derive(Debug)]
enum Kind {
    Block { number: u32, attributes: u32 },
    Repeat { columns: u32, rows: u32, step: (Decimal, Decimal) },
}

const ZERO: Decimal = Decimal { digits: 0, decimals: 0 };

impl Reader<'_> {
    fn open_scope(&mut self, kind: Kind, place: Place) -> Result<(), LimitReached> {
        Limits::check("nesting", self.limits.nesting, (self.scopes.len() as u64).saturating_add(1), place.line)?;
        self.scopes.push(Scope { kind, place, objects: Vec::new() });
        Ok(())
    }

    /// `ABDnn`.
    pub fn open_block(&mut self, number: u32, place: Place) -> Result<(), LimitReached> {
        let attributes = self.attributes.aperture_set(place.line)?;
        self.open_scope(Kind::Block { number, attributes }, place)
    }

    /// `AB`; a repeat left open inside is closed first.
    pub fn close_block(&mut self, place: Place) -> Result<(), LimitReached> {
        if !self.scopes.iter().any(|s| matches!(s.kind, Kind::Block { .. })) {
            note(&mut self.remarks, &codes::BLOCK_NOT_OPEN, place, || {
                ("a block end without a block".into(), "%ABDnn*% before it".into())
            });
            return Ok(());
        }
        while let Some(scope) = self.scopes.pop() {
            let is_block = matches!(scope.kind, Kind::Block { .. });
            if !is_block {
                self.tell_unclosed(&scope);
            }
            self.finish_scope(scope)?;
            if is_block {
                break;
            }
        }
        Ok(())
    }

    fn tell_unclosed(&mut self, scope: &Scope) {
        match scope.kind {
            Kind::Block { number, .. } => note(&mut self.remarks, &codes::BLOCK_UNCLOSED, scope.place, || {
                (format!("block aperture D{number} is never closed"), "%AB*%".into())
            }),
            Kind::Repeat { .. } => note(&mut self.remarks, &codes::REPEAT_UNCLOSED, scope.place, || {
                ("a step and repeat that is never closed".into(), "%SR*%".into())
            }),
        }
    }

    /// Closes all that the file left open, innermost first.
    pub fn close_scopes(&mut self) -> Result<(), LimitReached> {
        while let Some(scope) = self.scopes.pop() {
            self.tell_unclosed(&scope);
            self.finish_scope(scope)?;
        }
        Ok(())
    }

    fn finish_scope(&mut self, scope: Scope) -> Result<(), LimitReached> {
        // The current point is undefined behind a block; its value is kept for files that rely on it.
        self.position.trust = Trust::Undefined;
        let place = scope.place;
        match scope.kind {
            Kind::Block { number, attributes } => {
                if number < 10 {
                    note(&mut self.remarks, &codes::APERTURE_NUMBER, place, || {
                        (format!("a block aperture D{number}"), "a number from 10".into())
                    });
                    return Ok(());
                }
                let objects =
                    scope.objects.into_iter().map(|o| (placing::bounds(&o), o)).map(|(b, o)| (o, b)).collect();
                let index = self.blocks.len() as u32;
                self.blocks.push(Block { objects: Shared::new(objects), attributes });
                self.define_tool(number, Tool::Block { index }, place);
                Ok(())
            }
            Kind::Repeat { columns, rows, step } => self.repeat(scope.objects, (columns, rows), step, place),
        }
    }

    /// `SR` with parameters.
    pub fn open_repeat(
        &mut self,
        columns: u32,
        rows: u32,
        (step_x, step_y): (Text, Text),
        place: Place,
    ) -> Result<(), LimitReached> {
        let inside = matches!(self.scopes.last(), Some(Scope { kind: Kind::Repeat { .. }, .. }));
        if columns == 1 && rows == 1 {
            return self.close_repeat();
        }
        if inside {
            note(&mut self.remarks, &codes::REPEAT_REOPENED, place, || {
                ("a step and repeat inside another".into(), "%SR*% before it".into())
            });
            self.close_repeat()?;
        }
        if self.scopes.iter().any(|s| matches!(s.kind, Kind::Block { .. })) {
            note(&mut self.remarks, &codes::REPEAT_IN_BLOCK, place, || {
                ("a step and repeat inside a block aperture".into(), String::new())
            });
        }
        let steps = self.step(step_x, columns, place).zip(self.step(step_y, rows, place));
        let kind = match steps {
            Some(step) => Kind::Repeat { columns, rows, step },
            None => Kind::Repeat { columns: 1, rows: 1, step: (ZERO, ZERO) },
        };
        self.open_scope(kind, place)
    }

    /// A step; not needed, and not read, where there is only one copy.
    fn step(&mut self, text: Text, copies: u32, place: Place) -> Option<Decimal> {
        if copies == 1 {
            return Some(ZERO);
        }
        let shown = text.of(self.bytes).trim_ascii();
        let step = number::decimal(shown).filter(|s| s.digits >= 0);
        if step.is_none() {
            note(&mut self.remarks, &codes::REPEAT_MALFORMED, place, || {
                (format!("the step {}", show(shown)), "a distance of 0 or more".into())
            });
        }
        step
    }

    /// `SR`.
    pub fn close_repeat(&mut self) -> Result<(), LimitReached> {
        if matches!(self.scopes.last(), Some(Scope { kind: Kind::Repeat { .. }, .. }))
            && let Some(scope) = self.scopes.pop()
        {
            return self.finish_scope(scope);
        }
        Ok(())
    }

    /// Copies upwards first, then to the right; each copy whole before the next.
    fn repeat(
        &mut self,
        objects: Vec<Object>,
        (columns, rows): (u32, u32),
        step: (Decimal, Decimal),
        place: Place,
    ) -> Result<(), LimitReached> {
        let copies = u64::from(columns).saturating_mul(u64::from(rows));
        let total = copies.saturating_mul(objects.len() as u64);
        // The gathered objects were counted once already; they become the first copy.
        self.objects = self.objects.saturating_sub(objects.len() as u64);
        Limits::check("objects", self.limits.objects, self.objects.saturating_add(total), place.line)?;
        if objects.is_empty() {
            return Ok(());
        }
        let Some(unit) = self.unit() else { return Ok(()) };
        let bounds: Vec<Bounds> = objects.iter().map(placing::bounds).collect();
        for column in 0..columns {
            for row in 0..rows {
                let by = multiple(step.0, column, unit).zip(multiple(step.1, row, unit));
                for (object, bounds) in objects.iter().zip(&bounds) {
                    match by.and_then(|(x, y)| placing::moved(object, bounds, Point::new(x, y))) {
                        Some(copy) => self.push(copy)?,
                        None => self.tell_out_of_range(place),
                    }
                }
            }
        }
        Ok(())
    }

    fn tell_out_of_range(&mut self, place: Place) {
        note(&mut self.remarks, &codes::OUT_OF_RANGE, place, || {
            ("a copy more than one metre from the origin".into(), "copies within one metre".into())
        });
    }

    /// Flashes a block aperture: its objects, turned and moved, one by one.
    pub fn flash_block(&mut self, index: u32, at: Point, place: Place) -> Result<(), LimitReached> {
        let Some(block) = self.blocks.get(index as usize).cloned() else { return Ok(()) };
        let total = self.objects.saturating_add(block.objects.len() as u64);
        Limits::check("objects", self.limits.objects, total, place.line)?;
        let flashed = self.attributes.object_set(block.attributes, place.line)?;
        let mut merged: BTreeMap<u32, u32> = BTreeMap::new();
        for (object, bounds) in block.objects.iter() {
            let Some(mut copy) = self.placed(object, bounds, at, place)? else {
                self.tell_out_of_range(place);
                continue;
            };
            copy.attributes = match merged.get(&object.attributes) {
                Some(set) => *set,
                None => {
                    let set = self.attributes.merge(object.attributes, flashed, place.line)?;
                    merged.insert(object.attributes, set);
                    set
                }
            };
            if self.polarity == Polarity::Clear {
                copy.polarity = copy.polarity.toggled();
            }
            self.push(copy)?;
        }
        Ok(())
    }

    fn placed(
        &mut self,
        object: &Object,
        bounds: &Bounds,
        at: Point,
        place: Place,
    ) -> Result<Option<Object>, LimitReached> {
        if self.turn.is_none() {
            return Ok(placing::moved(object, bounds, at));
        }
        if let Shape::Region { contours, .. } = &object.shape {
            let corners = contours.iter().map(|c| c.edges.len() as u64).sum();
            self.cost.add_vertices(corners, self.limits, place.line)?;
        }
        Ok(placing::turned(object, self.turn, at))
    }
}

/// `n` steps, rounded once from the decimal text.
fn multiple(step: Decimal, n: u32, unit: Unit) -> Option<Nm> {
    length::scale(step.digits.checked_mul(i64::from(n))?, step.decimals, unit.nm())
        .filter(|nm| nm.abs() <= 2 * length::COORDINATE_MAX)
}
