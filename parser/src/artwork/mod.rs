//! Artwork (RS-274X, X2).
