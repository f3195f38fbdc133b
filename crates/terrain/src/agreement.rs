//! How two sources of ground agree where both have a level.

/// Levels of one source less those of another: mean, root mean square, scatter about the mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// Places compared.
    pub count: usize,
    /// Mean difference (the bias), metres.
    pub mean_m: f64,
    /// Root mean square of the differences, metres.
    pub rmse_m: f64,
}

impl Agreement {
    /// From differences of level, metres; `None` without any.
    pub fn of(differences: &[f64]) -> Option<Self> {
        let count = differences.len();
        let mean = |sum: f64| sum / count as f64;
        let rmse_m = mean(differences.iter().map(|d| d * d).sum()).sqrt();
        (count > 0).then(|| Self { count, mean_m: mean(differences.iter().sum()), rmse_m })
    }

    /// What is left once the mean is taken away: √(rmse² − mean²), metres ([computed]).
    pub fn scatter_m(&self) -> f64 {
        (self.rmse_m * self.rmse_m - self.mean_m * self.mean_m).max(0.0).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked example Tarrow End: mean 0.31, rmse 0.36, remaining scatter 0.18.
    #[test]
    fn the_check_points_of_tarrow_end() {
        let scatter = Agreement { count: 10, mean_m: 0.31, rmse_m: 0.36 }.scatter_m();
        assert!((scatter - 0.183).abs() < 1e-3);
        let half = [0.31 + scatter, 0.31 - scatter];
        let agreement = Agreement::of(&half).unwrap();
        assert!((agreement.mean_m - 0.31).abs() < 1e-12 && (agreement.rmse_m - 0.36).abs() < 1e-12);
        assert_eq!(Agreement::of(&[]), None);
    }
}
