//! How far numbers of a plan may go: one table. The bounds are generous, nobody in the trade meets them; what is beyond
//! them is a slip of the pen, a unit mistaken or a damaged file, and would spoil everything that is worked out from it.

/// A range that a number must lie in, ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// What the number is.
    pub what: &'static str,
    /// The least, in the unit.
    pub least: f64,
    /// The most, in the unit.
    pub most: f64,
    /// The unit; empty for bare numbers.
    pub unit: &'static str,
    /// Why it ends there.
    pub why: &'static str,
}

impl Bound {
    /// True where a number lies in it; no number that is none does.
    pub fn holds(&self, number: f64) -> bool {
        (self.least..=self.most).contains(&number)
    }

    /// "0.02 to 2 m".
    pub fn words(&self) -> String {
        format!("{} to {} {}", self.least, self.most, self.unit).trim_end().to_string()
    }
}

macro_rules! bounds {
    ($($name:ident: $what:literal, $least:expr, $most:expr, $unit:literal, $why:literal;)+) => {
        $(pub(crate) const $name: Bound =
            Bound { what: $what, least: $least, most: $most, unit: $unit, why: $why };)+

        /// Every bound.
        pub const BOUNDS: &[Bound] = &[$($name,)+];
    };
}

bounds! {
    COORDINATE: "coordinate", -1e8, 1e8, "m", "judgment: no coordinate system on earth counts so far";
    PIXEL: "way from pixel to pixel", -10_000.0, 10_000.0, "m", "judgment: pictures from space have pixels of a kilometer";
    ACROSS: "way across", 0.0, 100_000.0, "m", "judgment: no field or mark is as wide as a province";
    APART: "way from the rest of the plan", 0.0, 100_000.0, "m",
        "judgment: one job; a place farther off has easting and northing swapped or another system";
    LEVEL: "level", -12_000.0, 12_000.0, "m", "judgment: no ground is as deep or as high";
    LENGTH: "length", 1e-3, 30_000.0, "m", "judgment: mains of drainage districts run some kilometers";
    ALL_PIPE: "length of all lines", 0.0, 1_000_000.0, "m",
        "judgment: a farm of 1,000 ha drained every 10 m has as much";
    ALL_STAKES: "stakes on all lines", 0.0, 100_000.0, "",
        "judgment: all pipe that a plan may have, staked every 10 m; more takes longer than anyone waits";
    ALL_ROLLS: "rolls for all pipe", 0.0, 100_000.0, "",
        "judgment: clay tile of a foot for 30 km; each roll is laid out where it goes";
    PIPE: "size", 0.02, 2.0, "m", "judgment: from a hose to a culvert that a man walks through";
    RECEIVING: "size of the receiving pipe", 0.02, 10.0, "m", "judgment: a road culvert is smaller";
    FITTING: "size", 0.01, 5.0, "m", "judgment: whatever a dealer sells";
    ROLL: "length of a roll", 0.1, 10_000.0, "m", "judgment: from a coupler to a coil of hose";
    OUTLET_PIPE: "outlet pipe", 0.0, 1_000.0, "m", "judgment: a stick or two is usual";
    OVERHANG: "overhang", 0.0, 1_000.0, "m", "judgement";
    BANK_RUN: "slope of the bank", 0.0, 1_000.0, "", "judgment: run by rise of land that is level";
    DIRECTION: "direction", 0.0, 360.0, "degrees", "a full turn";
    FLOW: "flow", 0.0, 1_000.0, "m³/s", "judgment: a river";
    DEPTH: "depth", 0.0, 100.0, "m", "judgment: no trench or pit is a mine";
    DUG: "depth", 0.0, 30.0, "m", "judgment: open trenches end at some 6 m";
    INTO_LAYER: "way into the tight layer", -30.0, 30.0, "m", "judgment: as deep as is dug";
    RIPPED: "ripping depth", 0.0, 10.0, "m", "judgment: rippers reach 2 m";
    SERVED: "served distance", 0.0, 1_000.0, "m", "judgment: drains lie some ten meters apart";
    STRIP: "width of the strip", 0.0, 10_000.0, "m", "judgment: wider than any spacing";
    AREA: "area", 0.0, 1e9, "m²", "judgment: a thousand square kilometers";
    WETNESS: "drainage coefficient", 0.0, 1.0 / 86_400.0, "m/s", "judgment: a meter of water a day";
    CONDUCTIVITY: "conductivity", 0.0, 1.0, "m/s", "judgment: clean gravel";
    ROUGHNESS: "roughness", 0.005, 0.1, "", "judgment: from glass to a ditch full of weeds (Manning)";
    RISER: "size of the riser", 0.01, 5.0, "m", "judgment: a manhole";
    ENVELOPE: "thickness of the envelope", 0.0, 5.0, "m", "judgement";
    GRADE: "grade", -1.0, 1.0, "", "judgment: 45 degrees";
    HUB_OFFSET: "offset of a hub", 0.0, 100.0, "m", "judgment: a stake is seen from the trench";
    MARK: "figure", 0.0, 10_000.0, "", "judgment: widths, depths and distances to keep, kilovolts";
    ROWS: "spacing of the rows", 0.3, 100.0, "m", "judgment: from nursery beds to walnut trees";
    SHARE: "share", 0.0, 1.0, "", "a part of a whole";
    PH: "pH", 0.0, 14.0, "", "the scale";
    PRICE: "price", 0.0, 1e7, "", "judgment: for one piece or meter, in the smallest currency in use";
    WEIGHT: "weight or depth", 0.0, 1e6, "", "judgment: cost weights stand in proportion only";
    MARGIN: "margin", 0.0, 10.0, "", "judgment: ten times the cheapest";
    PACE: "meters an hour", 0.1, 10_000.0, "", "judgment: from rock to a plow at full speed";
    HARDNESS: "hardness", 0.1, 100.0, "", "judgement";
    CONTINGENCY: "contingency", 0.0, 2.0, "", "judgment: twice the estimate";
    STAKING: "way from stake to stake", 1.0, 300.0, "m", "judgment: common are 10 to 30 m";
    LOOP: "length of a level loop", 0.0, 1_000_000.0, "m", "judgment: across a country";
    LIMIT_LENGTH: "limit", 0.0, 100_000.0, "m", "judgment: wider than any job";
    LIMIT_DEPTH: "limit", 0.0, 1_000.0, "m", "judgment: deeper than any trench, to set a check aside";
    LIMIT_SPEED: "limit", 0.0, 1_000.0, "m/s", "judgment: faster than water runs, to set a check aside";
    LIMIT_GRADE: "limit", 0.0, 10.0, "", "judgment: steeper than any line, to set a check aside";
    LIMIT_ANGLE: "limit", 0.0, 360.0, "degrees", "a full turn";
    LIMIT_NUMBER: "limit", 0.0, 1e6, "", "judgment: to set a check aside";
}

/// How many of a thing a plan may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count {
    /// What is counted.
    pub what: &'static str,
    /// The most.
    pub most: usize,
    /// Why it ends there.
    pub why: &'static str,
}

macro_rules! counts {
    ($($name:ident: $what:literal, $most:expr, $why:literal;)+) => {
        $(pub(crate) const $name: Count = Count { what: $what, most: $most, why: $why };)+

        /// Every bound on how many.
        pub const COUNTS: &[Count] = &[$($name,)+];
    };
}

counts! {
    LINES: "lines", 5_000, "judgment: a large farm has some hundreds";
    OUTLETS: "outlets", 2_000, "judgment: a large farm has some tens";
    WATERCOURSES: "ditches and culverts", 2_000, "judgement";
    MARKS: "marks on the land", 10_000, "judgment: every tree of an orchard's edge";
    BENDS: "points", 20_000, "judgment: a walk with a receiver, a point each second, for five hours";
    ALL_BENDS: "points on all lines", 200_000, "judgment: forty on each of as many lines as there may be";
    CORNERS: "corners", 100_000, "judgment: a shore traced from a photo";
    ON_A_LINE: "entries of one kind on a line", 2_000, "judgment: one for each stake and more";
    ENTRIES: "entries of a list", 10_000, "judgment: what somebody enters by hand in a lifetime";
    LAYOUTS: "layouts put aside", 50, "judgment: they are held against each other in one table";
    NAME: "letters of a name", 500, "judgment: it stands on a map";
    TEXT: "letters of a text", 20_000, "judgment: some pages";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_bound_has_a_range_and_a_reason() {
        for bound in BOUNDS {
            assert!(bound.least < bound.most && !bound.why.is_empty(), "{}", bound.what);
            assert!(bound.holds(bound.least) && bound.holds(bound.most));
            for wild in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1e308, bound.most * 1.01] {
                assert!(!bound.holds(wild), "{} takes {wild}", bound.what);
            }
        }
        assert!(COUNTS.iter().all(|count| count.most > 0 && !count.why.is_empty()));
        assert_eq!(PIPE.words(), "0.02 to 2 m");
    }
}
