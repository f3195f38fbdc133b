//! Why a file was refused.

/// Why a file could not be read: the place, what was found and what was expected.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// The system refused to read the file.
    #[error("cannot read {path}: {source}")]
    Io {
        /// The file as it was named.
        path: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// The system refused to write the file.
    #[error("cannot write {path}: {source}")]
    Write {
        /// The file as it was named.
        path: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// A plan names what is not read for it: it lies outside the plan's folder and nobody chose it on this machine, or it is
    /// no file.
    #[error("the plan names {file}: found {found}, expected {expected}")]
    Outside {
        /// The file as the plan names it.
        file: String,
        /// What it is.
        found: String,
        /// What may be named, and what to do.
        expected: String,
    },
    /// The file breaks the rules of its own format.
    #[error("{place}: found {found}, expected {expected}")]
    Malformed {
        /// Where in the file: `line 12, column 3`, `tag 256`, `feature 2`.
        place: String,
        /// What stands there.
        found: String,
        /// What should stand there.
        expected: String,
    },
    /// The file is sound, but of a kind this program does not read.
    #[error("not supported: found {found}, expected {expected}")]
    Unsupported {
        /// What the file is or holds.
        found: String,
        /// What can be read instead.
        expected: String,
    },
    /// The file asks for more than the stated limit.
    #[error("too large: found {found}, the limit is {limit}")]
    TooLarge {
        /// What the file asks for.
        found: String,
        /// The most that is read.
        limit: String,
    },
    /// The grid, or the part of it asked for, has more cells than may be read; a rectangle of it can be.
    #[error(
        "too large: found {cols} × {rows} cells from {}, the limit is {limit} cells in all; choose a part",
        span(extent)
    )]
    TooManyCells {
        /// Columns.
        cols: usize,
        /// Rows.
        rows: usize,
        /// West, south, east and north edge, in the file's own coordinates and unit.
        extent: [f64; 4],
        /// The most that may be read.
        limit: u64,
    },
    /// Somebody else is changing the plan.
    #[error("{path} is being changed by {by}; nothing was written. Wait until it is done, then do this again")]
    Busy {
        /// The plan as it was named.
        path: String,
        /// Who holds it.
        by: String,
    },
    /// A plan is no longer what was read, so that writing would lose what another wrote.
    #[error(
        "{path} was changed by another program since it was read; nothing was written. Do this again on what is there now"
    )]
    Changed {
        /// The plan as it was named.
        path: String,
    },
    /// Whoever watched the reading stopped it.
    #[error("stopped before the end")]
    Stopped,
    /// The file is sound, but says too little to be placed or measured.
    #[error("not enough is known: found {found}, expected {expected}")]
    Unclear {
        /// What the file says.
        found: String,
        /// What a person must add.
        expected: String,
    },
}

/// The corners of a grid, as they may be shown.
pub(crate) fn span(extent: &[f64; 4]) -> String {
    let [west, south, east, north] = extent.map(|value| (value * 1e6).round() / 1e6);
    format!("{west}, {south} to {east}, {north}")
}

impl FileError {
    /// A rule broken at a place.
    pub(crate) fn malformed(place: impl Into<String>, found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self::Malformed { place: place.into(), found: found.into(), expected: expected.into() }
    }

    /// A kind of file, or a part of one, that is not read.
    pub(crate) fn unsupported(found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self::Unsupported { found: found.into(), expected: expected.into() }
    }

    /// More than the limit.
    pub(crate) fn too_large(found: impl Into<String>, limit: impl Into<String>) -> Self {
        Self::TooLarge { found: found.into(), limit: limit.into() }
    }

    /// Something a person must add.
    pub(crate) fn unclear(found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self::Unclear { found: found.into(), expected: expected.into() }
    }
}

/// A piece of a file as it may be shown in a message: one line, at most 40 characters.
pub(crate) fn shown(text: &str) -> String {
    let clean: String = text.chars().take(41).map(|c| if measure::is_hidden(c) { '\u{fffd}' } else { c }).collect();
    match clean.char_indices().nth(40) {
        Some((cut, _)) => format!("'{}…'", &clean[..cut]),
        None => format!("'{clean}'"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_is_short_and_on_one_line() {
        assert_eq!(shown("a\nb"), "'a\u{fffd}b'");
        assert_eq!(shown(&"é".repeat(2_000_000)).chars().count(), 43);
    }

    #[test]
    fn a_refusal_is_one_sentence_with_place_found_and_expected() {
        let error = FileError::malformed("line 3, column 2", "'n/a'", "a number");
        assert_eq!(error.to_string(), "line 3, column 2: found 'n/a', expected a number");
    }
}
