//! The graphics state, and the walk over the commands that builds the image.

use std::collections::BTreeMap;

use super::arc::Steps;
use super::attributes::Attributes;
use super::block::{Block, Scope};
use super::codes;
use super::command::{Act, Command, PlotMode, What};
use super::coordinate::{Format, Scale};
use super::macro_::{Cost, Template};
use super::notes::note;
use super::region::OpenRegion;
use crate::image::{Image, Object, Polarity, Turn};
use crate::length::{Decimal, Unit};
use crate::limits::{LimitReached, Limits};
use crate::point::Point;
use crate::remark::{Place, Remarks, Severity};

/// What an aperture number stands for.
#[derive(Clone, Copy, Debug)]
pub enum Tool {
    /// An aperture of the image.
    Plain { index: u32, stroke: Stroke, attributes: u32 },
    /// A block aperture, by index.
    Block { index: u32 },
    /// Selected but never defined.
    Undefined,
}

/// How an aperture may be drawn with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stroke {
    Circle,
    Rectangle,
    Other,
}

/// How far the current point can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trust {
    Known,
    /// Never set, or left undefined by a block.
    Undefined,
    /// The coordinate that set it could not be read.
    Lost,
}

/// The current point.
#[derive(Clone, Copy, Debug)]
pub struct Position {
    pub steps: Steps,
    pub point: Point,
    pub trust: Trust,
}

/// The unit and where it came from.
#[derive(Clone, Copy, Debug)]
pub struct UnitInUse {
    pub unit: Unit,
    pub legacy: bool,
    /// Offset of the command that set it.
    pub set_at: u32,
}

/// Builds the image of one file.
pub struct Reader<'a> {
    pub bytes: &'a [u8],
    pub commands: &'a [Command],
    pub limits: &'a Limits,
    pub remarks: Remarks,
    pub image: Image,
    pub attributes: Attributes,
    pub cost: Cost,
    /// Objects made so far, in blocks or out of them.
    pub objects: u64,
    /// Index of the command at work.
    pub index: usize,
    pub format: Option<(Format, u32)>,
    pub unit_in_use: Option<UnitInUse>,
    /// Format and scale once both are known.
    pub ready: Option<(Format, Scale)>,
    pub incremental: bool,
    pub position: Position,
    pub plot_mode: Option<PlotMode>,
    pub multi_quadrant: Option<bool>,
    pub tool: Option<Tool>,
    pub polarity: Polarity,
    pub turn: Turn,
    /// The last operation, and whether a coordinate alone may repeat it.
    pub last_act: Option<(Act, bool)>,
    pub tools: BTreeMap<u32, Tool>,
    pub templates: BTreeMap<Vec<u8>, Template>,
    pub blocks: Vec<Block>,
    pub scopes: Vec<Scope>,
    pub region: Option<OpenRegion>,
    /// What looking at contours may still cost.
    pub contour_work: super::crossing::Work,
    /// A contour that costs more than is allowed: the reading stops behind its command.
    pub over: Option<LimitReached>,
}

impl<'a> Reader<'a> {
    pub fn new(bytes: &'a [u8], commands: &'a [Command], limits: &'a Limits, remarks: Remarks) -> Self {
        let nowhere = Position { steps: (0, 0), point: Point::default(), trust: Trust::Undefined };
        Self {
            bytes,
            commands,
            limits,
            remarks,
            image: Image::default(),
            attributes: Attributes::new(limits.bytes),
            cost: Cost::default(),
            objects: 0,
            index: 0,
            format: None,
            unit_in_use: None,
            ready: None,
            incremental: false,
            position: nowhere,
            plot_mode: None,
            multi_quadrant: None,
            tool: None,
            polarity: Polarity::Dark,
            turn: Turn::NONE,
            last_act: None,
            tools: BTreeMap::new(),
            templates: BTreeMap::new(),
            blocks: Vec::new(),
            scopes: Vec::new(),
            region: None,
            contour_work: super::crossing::Work::new(limits.contour_pairs),
            over: None,
        }
    }

    /// Walks all commands.
    pub fn run(&mut self) -> Result<(), LimitReached> {
        self.image.objects.reserve_exact(self.expected_objects());
        for (index, command) in self.commands.iter().enumerate() {
            self.index = index;
            if let What::Operation(operation) = &command.what {
                self.operate(operation, command.place)?;
            } else {
                self.command(command)?;
            }
            if let Some(limit) = self.over.take() {
                return Err(limit);
            }
        }
        self.close_all()?;
        self.over.take().map_or(Ok(()), Err)
    }

    /// Objects the commands make before repeats and blocks, so that the list need not grow by copying.
    fn expected_objects(&self) -> usize {
        let mut in_region = false;
        let mut count = 0usize;
        for command in self.commands {
            match &command.what {
                What::RegionStart => in_region = true,
                What::RegionEnd => (in_region, count) = (false, count.saturating_add(1)),
                What::Operation(o) if o.act != Some(Act::Move) && !in_region => count = count.saturating_add(1),
                _ => {}
            }
        }
        count.min(usize::try_from(self.limits.objects).unwrap_or(usize::MAX))
    }

    /// Place of the command at work.
    pub fn place(&self) -> Place {
        self.commands.get(self.index).map(|c| c.place).unwrap_or_default()
    }

    fn command(&mut self, command: &Command) -> Result<(), LimitReached> {
        let place = command.place;
        self.tell_if_in_region(command);
        match command.what {
            What::Plot(mode) => self.plot_mode = Some(mode),
            What::MultiQuadrant(multi) => self.multi_quadrant = Some(multi),
            What::Select(number) => self.select(number, place),
            What::RegionStart => self.open_region(place)?,
            What::RegionEnd => self.end_region(place)?,
            What::Format(word) => self.set_format(&word, place),
            What::Unit(unit) => self.set_unit(unit, false, place),
            What::LegacyUnit(unit) => self.set_unit(unit, true, place),
            What::Incremental(incremental) => self.set_notation(incremental, place),
            What::Aperture { number, template, parameters } => {
                self.define_aperture(command, number, template, parameters)?
            }
            What::Macro { name, body } => self.define_macro(command, name, body)?,
            What::Clear(clear) => self.set_polarity(if clear { Polarity::Clear } else { Polarity::Dark }),
            What::Mirror { x, y } => (self.turn.mirror_x, self.turn.mirror_y) = (x, y),
            What::Rotation(degrees) => self.turn.degrees = degrees.to_f64(),
            What::Scaling(factor) => self.set_scaling(factor, place),
            What::BlockOpen(number) => self.open_block(number, place)?,
            What::BlockClose => self.close_block(place)?,
            What::RepeatOpen { columns, rows, step_x, step_y } => {
                self.open_repeat(columns, rows, (step_x, step_y), place)?
            }
            What::RepeatClose => self.close_repeat()?,
            What::Attribute { kind, text, in_comment } => {
                self.attributes.set(kind, text.of(self.bytes), in_comment, place, &mut self.remarks)?;
            }
            What::AttributeDelete { name, .. } => self.attributes.delete(name.of(self.bytes)),
            What::Image { setting, value } => self.image_setting(setting, value, place),
            What::Operation(_) | What::Comment(_) | What::Name(_) | What::End | What::OptionalStop | What::Unknown => {}
        }
        Ok(())
    }

    fn tell_if_in_region(&mut self, command: &Command) {
        if self.region.is_none() {
            return;
        }
        let allowed = match command.what {
            What::Attribute { in_comment, .. } | What::AttributeDelete { in_comment, .. } => in_comment,
            What::Select(_) | What::Format(_) | What::Unit(_) | What::Aperture { .. } | What::Macro { .. } => false,
            What::Clear(_) | What::Mirror { .. } | What::Rotation(_) | What::Scaling(_) => false,
            What::BlockOpen(_) | What::BlockClose | What::RepeatOpen { .. } | What::RepeatClose => false,
            What::Image { .. } | What::Name(_) => false,
            _ => true,
        };
        if !allowed {
            let text = &self.bytes[command.place.offset as usize..][..command.length as usize];
            note(&mut self.remarks, &codes::REGION_COMMAND, command.place, || {
                (format!("{} inside a region", super::notes::show(text)), "G37 before it".into())
            });
        }
    }

    fn select(&mut self, number: u32, place: Place) {
        if let Some((act, _)) = self.last_act {
            self.last_act = Some((act, false));
        }
        let tool = self.tools.get(&number).copied();
        // Without a unit no aperture could be defined, and that has been told.
        if tool.is_none() && !self.remarks.has(&codes::NO_UNIT) {
            note(&mut self.remarks, &codes::APERTURE_UNDEFINED, place, || {
                (format!("aperture D{number}"), "an aperture defined before".into())
            });
        }
        self.tool = Some(tool.unwrap_or(Tool::Undefined));
    }

    fn set_scaling(&mut self, factor: Decimal, place: Place) {
        let factor = factor.to_f64();
        if factor > 0.0 && factor < 1e6 {
            self.turn.scale = factor;
        } else {
            note(&mut self.remarks, &codes::TRANSFORM_MALFORMED, place, || {
                (format!("a scale of {factor}"), "a factor above 0".into())
            });
        }
    }

    /// Puts an object where it belongs: the innermost open block, or the image.
    #[inline]
    pub fn push(&mut self, object: Object) -> Result<(), LimitReached> {
        self.objects = self.objects.saturating_add(1);
        Limits::check("objects", self.limits.objects, self.objects, object.line)?;
        match self.scopes.last_mut() {
            Some(scope) => scope.objects.push(object),
            None => self.image.objects.push(object),
        }
        Ok(())
    }

    /// Closes whatever the file left open.
    fn close_all(&mut self) -> Result<(), LimitReached> {
        if self.region.is_some() {
            let place = self.place();
            note(&mut self.remarks, &codes::REGION_UNCLOSED, place, || {
                ("the file ends inside a region".into(), "G37".into())
            });
            self.close_region()?;
        }
        self.close_scopes()?;
        self.image.objects.shrink_to_fit();
        self.check_format();
        if let Some((_, scale)) = self.ready {
            self.image.step = scale.step();
        }
        self.image.unit = self.unit_in_use.map(|u| u.unit);
        self.image.attribute_sets = std::mem::take(&mut self.attributes.sets);
        self.image.file_attributes = std::mem::take(&mut self.attributes.file);
        Ok(())
    }

    /// The image and the remarks; no objects where something fatal was found.
    pub fn into_parts(self) -> (Image, Vec<crate::remark::Remark>) {
        let remarks = self.remarks.into_sorted();
        let mut image = self.image;
        if remarks.iter().any(|r| r.code.severity == Severity::Fatal) {
            image.objects = Vec::new();
            image.apertures = Vec::new();
        }
        (image, remarks)
    }
}
