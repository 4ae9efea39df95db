//! Secrets that are given out: random, shown once, kept only as hashes; and signatures of links.

use ring::hmac;
use ring::rand::{SecureRandom, SystemRandom};
use sqlx::Row;

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::sha256;
use crate::store::Store;

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// 256 random bits in hexadecimal.
pub fn fresh() -> Outcome<String> {
    let mut bytes = [0; 32];
    SystemRandom::new()
        .fill(&mut bytes)
        .map_err(|_| Fault::new(Kind::Storage, "The system gave no random numbers."))?;
    Ok(hex(&bytes))
}

/// What is kept of a secret. It has 256 random bits: a plain hash cannot be guessed backwards.
#[must_use]
pub fn kept(secret: &str) -> String {
    sha256(secret.as_bytes())
}

/// The signature of a text.
#[must_use]
pub fn sign(key: &str, text: &str) -> String {
    hex(hmac::sign(&hmac::Key::new(hmac::HMAC_SHA256, key.as_bytes()), text.as_bytes()).as_ref())
}

/// Whether a signature is that of a text, compared in constant time.
#[must_use]
pub fn is_signed(key: &str, text: &str, signature: &str) -> bool {
    let Some(bytes) = unhex(signature) else { return false };
    hmac::verify(&hmac::Key::new(hmac::HMAC_SHA256, key.as_bytes()), text.as_bytes(), &bytes).is_ok()
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    let digits: Option<Vec<u8>> = text.chars().map(|c| c.to_digit(16).and_then(|d| u8::try_from(d).ok())).collect();
    let digits = digits.filter(|d| d.len().is_multiple_of(2))?;
    Some(digits.chunks(2).map(|pair| pair[0] << 4 | pair[1]).collect())
}

impl Store {
    /// A secret of the service by its name, made at its first use; all processes have the same.
    pub async fn secret(&self, name: &str) -> Outcome<String> {
        sqlx::query("INSERT INTO secret (name, value) VALUES ($1, $2) ON CONFLICT (name) DO NOTHING")
            .bind(name)
            .bind(fresh()?)
            .execute(self.db.pool())
            .await?;
        Ok(sqlx::query("SELECT value FROM secret WHERE name = $1")
            .bind(name)
            .fetch_one(self.db.pool())
            .await?
            .try_get(0)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_signature_holds_for_its_own_text_and_key() {
        // RFC 4231, test case 2.
        let known = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843";
        assert_eq!(sign("Jefe", "what do ya want for nothing?"), known);
        assert!(is_signed("Jefe", "what do ya want for nothing?", known));
        assert!(!is_signed("Jefe", "what do ya want for something?", known));
        assert!(!is_signed("Jeff", "what do ya want for nothing?", known));
        assert!(!is_signed("Jefe", "what do ya want for nothing?", "5bd"));
        assert_ne!(fresh().unwrap(), fresh().unwrap());
    }
}
