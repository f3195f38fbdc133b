//! Numerical integration of a width known place by place: its area, and how that is distributed along the line.

/// A panel: an interval over which a width is approximated by a parabola through both ends and the middle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Panel {
    from: f64,
    to: f64,
    at: [f64; 3],
}

/// Greatest number of bisections: to a thousandth of the interval.
const HALVINGS: u32 = 10;

impl Panel {
    /// The panel between two places where the width is known.
    fn between(width: &mut impl FnMut(f64) -> f64, low: (f64, f64), high: (f64, f64)) -> Self {
        Self { from: low.0, to: high.0, at: [low.1, width((low.0 + high.0) / 2.0), high.1] }
    }

    /// Where it begins.
    pub fn from(&self) -> f64 {
        self.from
    }

    /// Where it ends.
    pub fn to(&self) -> f64 {
        self.to
    }

    /// The area under it.
    pub fn area(&self) -> f64 {
        (self.to - self.from) / 6.0 * (self.at[0] + 4.0 * self.at[1] + self.at[2])
    }

    /// The area under it from a place inside it to its end.
    pub fn area_from(&self, place: f64) -> f64 {
        let length = self.to - self.from;
        let r = ((place - self.from) / length).clamp(0.0, 1.0);
        let (r2, r3) = (r * r / 2.0, r * r * r / 3.0);
        let below =
            self.at[0] * (r - 3.0 * r2 + 2.0 * r3) + 4.0 * self.at[1] * (r2 - r3) + self.at[2] * (2.0 * r3 - r2);
        self.area() - below * length
    }

    /// Difference of its area from that under the straight line between its ends.
    fn arched(&self) -> f64 {
        (self.area() - (self.to - self.from) * (self.at[0] + self.at[2]) / 2.0).abs()
    }

    /// Its two halves, each with a middle of its own.
    fn halves(&self, width: &mut impl FnMut(f64) -> f64) -> [Self; 2] {
        let middle = ((self.from + self.to) / 2.0, self.at[1]);
        let (low, high) = ((self.from, self.at[0]), (self.to, self.at[2]));
        [Self::between(width, low, middle), Self::between(width, middle, high)]
    }
}

/// Accuracy of the integration.
#[derive(Debug, Clone, Copy)]
pub(super) struct Care {
    /// Relative to the width,
    pub share: f64,
    /// or absolute where that is small.
    pub least: f64,
    /// Intervals no longer than this may be taken for straight.
    pub straight: f64,
}

/// Divides an interval into panels until halving them changes the area by less than required (adaptive Simpson rule), and
/// passes them on; returns the remaining uncertainty of the area.
pub(super) fn follow(
    width: &mut impl FnMut(f64) -> f64,
    [low, high]: [(f64, f64); 2],
    care: Care,
    take: &mut impl FnMut(Panel),
) -> f64 {
    let whole = Panel::between(width, low, high);
    halve(width, whole, care, HALVINGS, take)
}

fn halve(
    width: &mut impl FnMut(f64) -> f64,
    panel: Panel,
    care: Care,
    left: u32,
    take: &mut impl FnMut(Panel),
) -> f64 {
    let length = panel.to - panel.from;
    let enough = |change: f64, area: f64| change <= care.share * area + care.least * length;
    if length <= care.straight && enough(panel.arched(), panel.area()) {
        take(panel);
        return panel.arched();
    }
    let [low, high] = panel.halves(width);
    let area = low.area() + high.area();
    let change = (area - panel.area()).abs();
    if left > 0 && !enough(change, area) {
        return halve(width, low, care, left - 1, take) + halve(width, high, care, left - 1, take);
    }
    take(low);
    take(high);
    change
}

#[cfg(test)]
mod tests {
    use super::*;

    fn followed(width: fn(f64) -> f64, from: f64, to: f64, care: Care) -> (Vec<Panel>, f64) {
        let mut panels = Vec::new();
        let ends = [(from, width(from)), (to, width(to))];
        let uncertain = follow(&mut { width }, ends, care, &mut |panel| panels.push(panel));
        (panels, uncertain)
    }

    /// A parabola is followed exactly, and so is its area from any place on: x² from 1 to 3 is 26/3, from 2 on 19/3.
    #[test]
    fn a_parabola_is_exact() {
        let (panels, _) = followed(|x| x * x, 1.0, 3.0, Care { share: 0.0, least: 1e-9, straight: 0.0 });
        assert_eq!(panels.len(), 2);
        let area: f64 = panels.iter().map(Panel::area).sum();
        let above: f64 = panels.iter().map(|panel| panel.area_from(2.0)).sum();
        assert!((area - 26.0 / 3.0).abs() < 1e-12 && (above - 19.0 / 3.0).abs() < 1e-12, "{area} {above}");
    }

    /// A roof with its ridge at 1/3 of the way: 0.5 under it, found to a thousandth.
    #[test]
    fn a_ridge_is_found() {
        let roof = |x: f64| if x < 1.0 / 3.0 { 3.0 * x } else { 1.5 * (1.0 - x) };
        let (panels, uncertain) = followed(roof, 0.0, 1.0, Care { share: 1e-3, least: 0.0, straight: 0.2 });
        let area: f64 = panels.iter().map(Panel::area).sum();
        assert!((area - 0.5).abs() < 5e-4 && uncertain < 2e-3, "{area} {uncertain}");
    }
}
