//! How often may be asked: per person or address. Each process counts for itself.

use std::num::NonZeroU32;

use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};

use crate::fault::{Fault, Kind, Outcome};

const fn count(value: u32) -> NonZeroU32 {
    match NonZeroU32::new(value) {
        Some(value) => value,
        None => NonZeroU32::MIN,
    }
}

/// Requests a second of one person, token or address, and how many may come at once.
pub const REQUESTS: (NonZeroU32, NonZeroU32) = (count(100), count(600));
/// Sign-ins a minute for one login, and how many may come at once.
pub const SIGN_INS: (NonZeroU32, NonZeroU32) = (count(6), count(10));
/// The same from one address, behind which a whole office may sit.
pub const OFFICE: (NonZeroU32, NonZeroU32) = (count(60), count(60));
/// From how many entries on the counters are looked through for those that are at rest.
const MANY: usize = 20_000;

/// The counters.
#[derive(Debug)]
pub struct Rates {
    requests: DefaultKeyedRateLimiter<String>,
    logins: DefaultKeyedRateLimiter<String>,
    offices: DefaultKeyedRateLimiter<String>,
}

impl Default for Rates {
    fn default() -> Self {
        Self {
            requests: RateLimiter::keyed(Quota::per_second(REQUESTS.0).allow_burst(REQUESTS.1)),
            logins: RateLimiter::keyed(Quota::per_minute(SIGN_INS.0).allow_burst(SIGN_INS.1)),
            offices: RateLimiter::keyed(Quota::per_minute(OFFICE.0).allow_burst(OFFICE.1)),
        }
    }
}

fn ask(limiter: &DefaultKeyedRateLimiter<String>, key: String) -> bool {
    if limiter.len() > MANY {
        limiter.retain_recent();
    }
    limiter.check_key(&key).is_ok()
}

impl Rates {
    /// One more request.
    pub fn request(&self, asks: &str) -> Outcome<()> {
        if ask(&self.requests, asks.to_owned()) {
            return Ok(());
        }
        Err(Fault::new(Kind::TooMany, format!("More than {} requests a second.", REQUESTS.0)))
    }

    /// One more attempt to sign in.
    pub fn sign_in(&self, login: &str, peer: &str) -> Outcome<()> {
        let login = login.trim().to_lowercase();
        if ask(&self.logins, login) && ask(&self.offices, peer.to_owned()) {
            return Ok(());
        }
        Err(Fault::new(Kind::TooMany, format!("More than {} attempts to sign in a minute.", SIGN_INS.0)))
    }
}
