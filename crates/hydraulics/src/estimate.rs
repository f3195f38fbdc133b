//! A figure that is known within a range.

/// A figure with the least and the most it may be. A range is what the sources and the soil leave open, not a promise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The least it may be.
    pub low: f64,
    /// The figure that is worked with.
    pub likely: f64,
    /// The most it may be.
    pub high: f64,
}

impl Estimate {
    /// A figure that is taken as known.
    pub const fn known(value: f64) -> Self {
        Self { low: value, likely: value, high: value }
    }

    /// A figure known within a factor either way.
    pub fn within(likely: f64, factor: f64) -> Self {
        Self { low: likely / factor, likely, high: likely * factor }
    }

    /// The same likely figure, its range widened to hold a second range.
    pub fn widened(self, low: f64, high: f64) -> Self {
        Self { low: self.low.min(low), high: self.high.max(high), ..self }
    }

    /// What follows from it by a rule that only rises or only falls.
    pub fn map(self, rule: impl Fn(f64) -> f64) -> Self {
        let (one, other) = (rule(self.low), rule(self.high));
        Self { low: one.min(other), likely: rule(self.likely), high: one.max(other) }
    }

    /// True where nothing is left open.
    pub fn is_known(self) -> bool {
        self.low == self.high
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_follows_a_rule() {
        let k = Estimate::within(2.0, 2.0);
        assert_eq!(k, Estimate { low: 1.0, likely: 2.0, high: 4.0 });
        assert_eq!(k.map(|k| -k), Estimate { low: -4.0, likely: -2.0, high: -1.0 });
        assert_eq!(Estimate::known(2.0).widened(1.5, 1.8), Estimate { low: 1.5, likely: 2.0, high: 2.0 });
        assert!(Estimate::known(2.0).is_known() && !k.is_known());
    }
}
