//! The checks, one file each.

use crate::Rule;

/// Every check, by number.
pub const RULES: &[Rule] = &[];
