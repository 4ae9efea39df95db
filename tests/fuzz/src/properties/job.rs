//! What the job file reader promises.

use landgap_parser::job::read;

use super::{Lines, mark, small_limits};

/// Checks one input with small limits.
pub fn holds(bytes: &[u8]) {
    let lines = Lines::of(bytes);
    let once = read(bytes, &small_limits());
    assert_eq!(mark(&once), mark(&read(bytes, &small_limits())), "two readings differ");
    match once {
        Ok(job) => {
            lines.hold_remarks(&job.remarks);
            job.files.iter().for_each(|f| lines.hold(f.place));
            job.stack.iter().for_each(|l| lines.hold(l.place));
            job.refused.iter().chain(&job.other_keys).for_each(|s| lines.hold(s.place));
        }
        Err(limit) => lines.hold_limit(&limit),
    }
}
