//! What a job starts with, in round figures of the system it is begun in; the limits have theirs in [`crate::LIMITS`].

use measure::{DAY_S, FOOT_M, INCH_M, INCH_PER_DAY_MS, Units};

use crate::{Brief, Change, CostWeights, Criteria, LandmarkKind, LineKind, Plan, PriceList, Rows, Title};

macro_rules! starts {
    ($($(#[$doc:meta])+ $name:ident = $feet:expr, $metric:expr;)+) => {
        /// Start values of one system.
        #[derive(Debug, Clone, PartialEq)]
        pub struct Starts {
            $($(#[$doc])+ pub $name: f64,)+
        }

        /// Start values of a job begun in feet and inches.
        pub const FEET_STARTS: Starts = Starts { $($name: $feet,)+ };
        /// Start values of a job begun in metres.
        pub const METRIC_STARTS: Starts = Starts { $($name: $metric,)+ };
    };
}

/// A millimetre a day, m/s.
const MM_PER_DAY_MS: f64 = 1e-3 / DAY_S;

starts! {
    /// How far to either side a line drains at least, and where no spacing can be computed, metres: 50 ft or 15 m ([judgement]).
    served_m = 50.0 * FOOT_M, 15.0;
    /// Depth of the water table wanted midway between drains, metres: 1.5 ft or 0.45 m (the worked example Ellowby Block;
    /// [judgement]).
    water_table_m = 1.5 * FOOT_M, 0.45;
    /// Usual drainage coefficient for field crops, m/s: 3/8 in or 10 mm a day (one start value a crop, [judgement] after
    /// [NEH624]).
    field_crops_ms = 3.0 / 8.0 * INCH_PER_DAY_MS, 10.0 * MM_PER_DAY_MS;
    /// Usual drainage coefficient for fruit and vegetables, m/s: 1/2 in or 13 mm a day (the same).
    fruit_ms = 0.5 * INCH_PER_DAY_MS, 13.0 * MM_PER_DAY_MS;
    /// Length of solid pipe at a new outlet, metres: 20 ft or 6 m (a public bid specification, [ISU-bid]; [444] asks 10 ft).
    outlet_pipe_m = 20.0 * FOOT_M, 6.0;
    /// Inside diameter of a new main, metres: 6 in or 150 mm ([judgement]: mains not under 5–6 in where tie-ins are likely).
    main_size_m = 6.0 * INCH_M, 0.150;
    /// Inside diameter of any other new line, metres: 4 in or 100 mm, the common lateral ([judgement]).
    lateral_size_m = 4.0 * INCH_M, 0.100;
    /// Least inside diameter that is chosen for a main by its flow, metres: 5 in or 125 mm, for later tie-ins and jetting are
    /// likely ([judgement]).
    least_main_m = 5.0 * INCH_M, 0.125;
    /// Least inside diameter that is chosen for any other line by its flow, metres: 4 in or 100 mm ([judgement];
    /// [EVERETT: 4 in]).
    least_lateral_m = 4.0 * INCH_M, 0.100;
    /// Metres of trench in an hour: 40 ft/h or 12 m/h (30 to 60 ft/h for a small excavator at 3 to 4 ft, from memory).
    dig_rate_m = 40.0 * FOOT_M, 12.0;
    /// Width of the land that digging tears up, metres: 15 ft or 4.5 m ([judgement]).
    disturbed_m = 15.0 * FOOT_M, 4.5;
    /// Width of a road or lane, metres: 12 ft or 3.5 m ([judgement]).
    road_width_m = 12.0 * FOOT_M, 3.5;
    /// Depth of a footing, metres: 3 ft or 0.9 m ([judgement]).
    footing_depth_m = 3.0 * FOOT_M, 0.9;
    /// From row to row of vines or trees, metres: 9 ft or 2.75 m ([judgement]).
    row_spacing_m = 9.0 * FOOT_M, 2.75;
}

impl Starts {
    /// Those of a job begun in metres, or in feet and inches.
    pub const fn of(metric: bool) -> &'static Self {
        if metric { &METRIC_STARTS } else { &FEET_STARTS }
    }

    /// Inside diameter a new line of a kind starts with, metres.
    pub const fn size_m(&self, kind: LineKind) -> f64 {
        match kind {
            LineKind::Main | LineKind::Submain => self.main_size_m,
            _ => self.lateral_size_m,
        }
    }

    /// Least inside diameter that is chosen for a kind of line by its flow, metres.
    pub const fn least_size_m(&self, kind: LineKind) -> f64 {
        match kind {
            LineKind::Main | LineKind::Submain => self.least_main_m,
            _ => self.least_lateral_m,
        }
    }

    /// A mark with usual figures, in those of this system.
    pub fn mark(&self, kind: LandmarkKind) -> LandmarkKind {
        match kind {
            LandmarkKind::Road { public, permission, .. } => {
                LandmarkKind::Road { width_m: self.road_width_m, public, permission }
            }
            LandmarkKind::Footing { .. } => LandmarkKind::Footing { depth_m: self.footing_depth_m },
            LandmarkKind::Rows(rows) => LandmarkKind::Rows(Rows { spacing_m: self.row_spacing_m, ..rows }),
            other => other,
        }
    }
}

/// Shows a plan in other units: no number of it changes but, while nothing is drawn yet, the start values that nobody touched.
pub fn in_units(plan: &Plan, units: Units) -> Vec<Change> {
    let before = plan.title.units;
    let mut changes = vec![Change::Title(Title { units, ..plan.title.clone() })];
    if !(plan.lines.is_empty() && plan.outlets.is_empty()) {
        return changes;
    }
    changes.extend((plan.criteria == Criteria::of(before)).then(|| Change::Criteria(Criteria::of(units))));
    let brief = brief_in(&plan.brief, before, units);
    changes.extend((brief != plan.brief).then_some(Change::Brief(brief)));
    changes
        .extend((plan.cost_weights == CostWeights::of(before)).then(|| Change::CostWeights(CostWeights::of(units))));
    changes.extend((plan.price_list == PriceList::of(before)).then(|| Change::PriceList(PriceList::of(units))));
    changes
}

/// A brief with the start values of another system, where those of the present one still stand.
fn brief_in(brief: &Brief, before: Units, units: Units) -> Brief {
    let (then, now) = (Brief::of(before), Brief::of(units));
    let start = |has: f64, then: f64, now: f64| if has == then { now } else { has };
    Brief {
        metric: now.metric,
        served_m: start(brief.served_m, then.served_m, now.served_m),
        water_table_m: start(brief.water_table_m, then.water_table_m, now.water_table_m),
        ..brief.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Edit, LIMITS, Quantity};

    /// What a metric job starts with has no more than three figures that count, in metres, degrees, hectares or days.
    #[test]
    fn metric_starts_are_round() {
        let starts = Criteria::of(Units::Metric);
        for limit in LIMITS.iter().filter(|limit| limit.quantity != Quantity::Share) {
            let told = limit.words((limit.value)(&starts), Units::Metric);
            let digits: String = told.chars().filter(char::is_ascii_digit).collect();
            assert!(digits.trim_matches('0').len() <= 3, "{}: {told}", limit.name);
        }
        let least = LIMITS.iter().find(|limit| limit.name == "organic_cover_m").unwrap();
        assert_eq!(least.words((least.value)(&starts), Units::Metric), "0.75 m");
        assert_eq!(least.words((least.value)(&Criteria::of(Units::Feet)), Units::Metric), "0.762 m");
    }

    /// Neither system asks for less than nine tenths of what the other does; how far stakes stand apart goes by the habit of
    /// each.
    #[test]
    fn the_two_systems_say_much_the_same() {
        let (feet, metric) = (Criteria::of(Units::Feet), Criteria::of(Units::Metric));
        assert_eq!((feet.staking_m, metric.staking_m), (50.0 * measure::FOOT_M, 20.0));
        for limit in LIMITS.iter().filter(|limit| limit.name != "staking_m") {
            let (feet, metric) = ((limit.value)(&feet), (limit.value)(&metric));
            assert!((feet - metric).abs() <= 0.1 * feet.abs(), "{}: {feet} {metric}", limit.name);
        }
    }

    /// What keeps people from harm is nowhere less in round metres than in the rule's own feet: distances are no shorter, the
    /// depths from which a trench is protected or has a ladder no deeper.
    #[test]
    fn round_metres_keep_no_less_safe() {
        let (feet, metric) = (Criteria::of(Units::Feet), Criteria::of(Units::Metric));
        assert!(metric.wire_near_m >= feet.wire_near_m && metric.wire_far_m >= feet.wire_far_m);
        assert!(metric.hand_dig_m >= feet.hand_dig_m);
        assert!(
            metric.protected_trench_m <= feet.protected_trench_m && metric.ladder_trench_m <= feet.ladder_trench_m
        );
    }

    /// A figure of the brief that somebody entered stays; the others become those of the system.
    #[test]
    fn a_touched_figure_keeps_the_others_free() {
        let mut plan = Plan::new("Fresh", Units::Feet);
        plan.brief.water_table_m = 0.6;
        let wanted = Brief { water_table_m: 0.6, ..Brief::of(Units::Metric) };
        assert!(in_units(&plan, Units::Metric).contains(&Change::Brief(wanted)));
    }

    #[test]
    fn a_plan_with_something_drawn_keeps_its_numbers() {
        let fresh = Plan::new("Fresh", Units::Feet);
        let mut other = fresh.clone();
        other.apply(&Edit { label: "Change units".into(), changes: in_units(&fresh, Units::Metric) }).unwrap();
        assert_eq!(other, Plan::new("Fresh", Units::Metric));
        let mut drawn = fresh.clone();
        let outlet = drawn.new_outlet("O1", measure::Point::new(0.0, 0.0), 99.0);
        drawn.apply(&crate::place_outlet(&drawn, outlet).1).unwrap();
        assert_eq!(in_units(&drawn, Units::Metric).len(), 1);
    }
}
