//! A reader that stops when more comes out of a packed stream than is allowed.

use std::io::{self, Read};

use super::limits::{Limits, Meter, within};
use crate::fault::{Fault, Outcome};

/// Counts what passes and holds it to the limits.
#[derive(Debug)]
pub struct Gauge<R> {
    inner: R,
    meter: Meter,
    packed: u64,
    passed: u64,
    tripped: Option<Fault>,
}

impl<R: Read> Gauge<R> {
    /// A gauge over a stream that unpacks `packed` bytes.
    pub fn new(inner: R, limits: &Limits, packed: u64) -> Self {
        Self { inner, meter: Meter::new(*limits), packed, passed: 0, tripped: None }
    }

    /// The limit that was reached, if one was.
    pub fn verdict(&mut self) -> Outcome<()> {
        self.tripped.take().map_or(Ok(()), Err)
    }

    fn check(&self) -> Outcome<()> {
        self.meter.ratio(self.packed, self.passed)?;
        within("unpacked", self.meter.limits().unpacked, self.passed)
    }
}

impl<R: Read> Read for Gauge<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(buffer)?;
        self.passed = self.passed.saturating_add(count as u64);
        self.check().map(|()| count).map_err(|fault| {
            let error = io::Error::other(fault.detail.clone());
            self.tripped = Some(fault);
            error
        })
    }
}
