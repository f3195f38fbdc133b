//! What computation adds to a plan: how sure it is.

pub mod certainty;
