//! What contractors price: the work in place, item by item, with quantities and no price. How a contractor gets there (hours
//! of machine, whole rolls and what joins them, waste) is the contractor's own and no item.

use measure::Units;
use plan::{Goods, Measure, Plan};

use crate::{Band, Estimate, Item};

/// A schedule of items to be priced.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bid {
    /// Its rows, numbered from 1.
    pub rows: Vec<BidRow>,
    /// Trench by depth, which the price of pipe in place depends on.
    pub bands: Vec<Band>,
    /// Length of trench of which no depth is known, metres.
    pub unknown_m: f64,
}

/// An item to be priced.
#[derive(Debug, Clone, PartialEq)]
pub struct BidRow {
    /// What it is, in words, with its size and what its price holds.
    pub what: String,
    /// How much of it: metres, pieces, cubic metres or square metres; `None` for a lump sum.
    pub quantity: Option<(Measure, f64)>,
}

impl BidRow {
    /// The unit it is priced by: "ft", "each", "lump sum".
    pub fn unit(&self, units: Units) -> &'static str {
        self.quantity.map_or("lump sum", |(measure, _)| measure.unit(units).1)
    }

    /// How much of it as a bare figure, as it is printed.
    pub fn figure(&self, units: Units) -> String {
        let Some((measure, quantity)) = self.quantity else { return "1".into() };
        measure::trimmed(measure.quantity(quantity, units), 0, 2)
    }
}

/// The items of an estimate as they are put out to bid.
pub fn bid(plan: &Plan, estimate: &Estimate) -> Bid {
    if estimate.lines.is_empty() {
        return Bid::default();
    }
    let lump = BidRow { what: Goods::Mobilisation.word().into(), quantity: None };
    let disturbed_m2 = estimate.length_m() * plan.price_list.disturbed_m;
    let width = plan.title.units.length(plan.price_list.disturbed_m);
    let surface = BidRow {
        what: format!("{} of the surface, {width} wide along every line", Goods::Restoration.word()),
        quantity: Some((Measure::Area, disturbed_m2)),
    };
    let items = estimate.items.iter().filter(|item| is_bid_on(item.goods)).map(|item| row(item, plan));
    Bid {
        rows: std::iter::once(lump).chain(items).chain([surface]).collect(),
        bands: estimate.bands.clone(),
        unknown_m: estimate.unknown_m,
    }
}

/// False for what has a row of its own, and for hours and couplers, which are how a contractor gets there.
const fn is_bid_on(goods: Goods) -> bool {
    !matches!(goods, Goods::MachineHour | Goods::Coupler | Goods::Mobilisation | Goods::Restoration)
}

fn row(item: &Item, plan: &Plan) -> BidRow {
    let what = crate::words(item, plan);
    let (what, measure) = match item.goods {
        // Bought in sticks, laid by its length.
        Goods::OutletStick => (what.replace(Goods::OutletStick.word(), "rigid outlet pipe"), Measure::Length),
        goods => (what, goods.measure()),
    };
    let holds = match item.goods {
        Goods::Perforated | Goods::Solid | Goods::Heavy | Goods::OutletStick => {
            ", in place, with couplers, trench, bedding and backfill"
        }
        Goods::TrenchProtection => ", sloped, shored or boxed",
        _ => ", in place",
    };
    BidRow { what: what + holds, quantity: Some((measure, item.needed)) }
}
