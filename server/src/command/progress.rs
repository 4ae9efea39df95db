//! Progress on standard error: a bar on a terminal, plain lines elsewhere.

use std::cell::Cell;
use std::io::IsTerminal;
use std::mem::{Discriminant, discriminant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use landgap_rules::check::Stage;

use crate::job::state::words;

/// Shows stages as they come.
#[derive(Debug)]
pub struct Shown {
    bar: Option<ProgressBar>,
    last: Cell<Option<Discriminant<Stage>>>,
}

impl Shown {
    /// A bar where standard error is a terminal.
    #[must_use]
    pub fn new() -> Self {
        let bar = std::io::stderr().is_terminal().then(|| {
            let bar = ProgressBar::with_draw_target(Some(0), ProgressDrawTarget::stderr());
            bar.set_style(
                ProgressStyle::with_template("{msg:32} {bar:30} {pos}/{len}")
                    .unwrap_or_else(|_| ProgressStyle::default_bar()),
            );
            bar
        });
        Self { bar, last: Cell::new(None) }
    }

    /// A stage has begun or come further.
    pub fn stage(&self, stage: Stage) {
        if let Some(bar) = &self.bar {
            let (done, of) = match stage {
                Stage::Read(done, of) | Stage::Image(done, of) => (done, of),
                Stage::Place | Stage::Measure | Stage::Ask => (0, 1),
            };
            bar.set_message(words(stage));
            bar.set_length(of as u64);
            bar.set_position(done as u64);
        } else if self.last.replace(Some(discriminant(&stage))) != Some(discriminant(&stage)) {
            eprintln!("{}", words(stage));
        }
    }
}

impl Default for Shown {
    fn default() -> Self {
        Self::new()
    }
}

impl Drop for Shown {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
