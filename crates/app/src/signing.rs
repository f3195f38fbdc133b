//! Who signs, when and why: what a signature still lacks.

use plan::Signature;

/// What a correction still lacks before it can be signed.
pub fn missing_signature(signature: &Signature) -> Option<&'static str> {
    match (signature.by.trim().is_empty(), plan::is_date(signature.on.trim())) {
        (true, _) => Some("Corrections are signed: enter your name and the day on the Ground card first."),
        (_, false) => Some("Enter the day of the correction on the Ground card, as YYYY-MM-DD."),
        _ => None,
    }
}

/// What a signature with a reason still lacks.
pub fn missing_reason(signature: &Signature) -> Option<&'static str> {
    match (signature.by.trim().is_empty(), plan::is_date(signature.on.trim()), signature.because.trim().is_empty()) {
        (true, ..) => Some("Enter your name."),
        (_, false, _) => Some("Enter the day, as YYYY-MM-DD."),
        (_, _, true) => Some("Enter why."),
        _ => None,
    }
}
