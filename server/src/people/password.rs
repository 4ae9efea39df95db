//! Passwords: kept as argon2id hashes (RFC 9106), with the parameters of the library's defaults (19 MiB, two passes).

use std::sync::LazyLock;

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use tokio::sync::Semaphore;

use crate::fault::{Fault, Kind, Outcome};
use crate::http::body::blocking;

/// Fewest characters of a password.
pub const SHORTEST: usize = 12;
/// Most bytes.
const LONGEST: usize = 1024;
/// Hashes worked out at once: each takes memory.
static TURNS: Semaphore = Semaphore::const_new(2);
/// Compared against where there is no such person, so that the answer takes as long.
static NOBODY: LazyLock<String> = LazyLock::new(|| hashed("nobody has this password").unwrap_or_default());

fn hashed(password: &str) -> Outcome<String> {
    let hash: PasswordHash = Argon2::default()
        .hash_password(password.as_bytes())
        .map_err(|e| Fault::new(Kind::Storage, format!("The password could not be hashed: {e}.")))?;
    Ok(hash.to_string())
}

/// The hash of a new password.
pub async fn hash(password: &str) -> Outcome<String> {
    if password.chars().count() < SHORTEST || password.len() > LONGEST {
        return Err(Fault::new(
            Kind::BadRequest,
            format!(
                "A password has {SHORTEST} characters at least and {LONGEST} bytes at most; any characters will do."
            ),
        ));
    }
    let password = password.to_owned();
    let _turn = TURNS.acquire().await;
    blocking(move || hashed(&password)).await
}

/// Whether a password is the one of a hash. Takes as long where there is none.
pub async fn is_right(password: &str, hash: Option<String>) -> bool {
    let password = password.to_owned();
    let _turn = TURNS.acquire().await;
    let compared = blocking(move || {
        let known = hash.is_some();
        let hash = hash.unwrap_or_else(|| NOBODY.clone());
        let Ok(hash) = PasswordHash::new(&hash) else { return Ok(false) };
        Ok(password.len() <= LONGEST && Argon2::default().verify_password(password.as_bytes(), &hash).is_ok() && known)
    });
    compared.await.unwrap_or(false)
}
