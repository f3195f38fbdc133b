//! The rows of the price list, typed by size: pipe as a table of the stocked sizes, fittings and work as the plan needs them.

use egui::{Grid, RichText, Ui, vec2};
use job::Session;
use measure::Units;
use plan::{Goods, Plan, PriceList, PriceRow};
use takeoff::{Estimate, Item};

use super::table;
use crate::panels::field::{Entered, entry, wide_field};
use crate::theme::{bold, plain};
use crate::view::View;

/// What is sold by the length in sizes.
const BY_SIZE: [Goods; 5] = [Goods::Perforated, Goods::Solid, Goods::Heavy, Goods::OutletStick, Goods::Sock];
/// Sizes nearer to each other than this are one, metres.
const SAME_M: f64 = 1e-6;
/// Widest field of a price or a roll of pipe, and of a price of all else, points.
const WIDE: f32 = 80.0;
const WIDER: f32 = 130.0;
/// What stands where a price is needed and none is given.
const NO_PRICE: &str = "no price";

/// What a price is for.
#[derive(Debug, Clone, Copy, PartialEq)]
struct For {
    goods: Goods,
    size_m: Option<f64>,
    branch_m: Option<f64>,
}

impl For {
    fn of(item: &Item) -> Self {
        Self { goods: item.goods, size_m: item.size_m, branch_m: item.branch_m }
    }

    fn row(row: &PriceRow) -> Self {
        Self { goods: row.goods, size_m: row.size_m, branch_m: row.branch_m }
    }

    fn is(&self, other: &Self) -> bool {
        let same = |one: Option<f64>, other: Option<f64>| match (one, other) {
            (Some(one), Some(other)) => (one - other).abs() < SAME_M,
            (one, other) => one.is_none() && other.is_none(),
        };
        self.goods == other.goods && same(self.size_m, other.size_m) && same(self.branch_m, other.branch_m)
    }

    /// "tee 6 in × 4 in".
    fn words(&self, units: Units) -> String {
        let sizes = [self.size_m, self.branch_m].into_iter().flatten().map(|size_m| units.pipe(size_m));
        let sizes: Vec<String> = sizes.collect();
        format!("{} {}", self.goods.word(), sizes.join(" × ")).trim_end().into()
    }

    /// Its own row of a list.
    fn find<'a>(&self, list: &'a PriceList) -> Option<&'a PriceRow> {
        list.rows.iter().find(|row| self.is(&Self::row(row)))
    }

    /// Sets, adds or takes away its row; a price is that of one base unit.
    fn set(&self, list: &mut PriceList, price: Option<f64>) {
        let at = list.rows.iter().position(|row| self.is(&Self::row(row)));
        match (at, price) {
            (Some(at), Some(price)) => list.rows[at].price = price,
            (Some(at), None) => drop(list.rows.remove(at)),
            (None, Some(price)) => {
                let Self { goods, size_m, branch_m } = *self;
                list.rows.push(PriceRow { goods, size_m, branch_m, price, pack_m: None });
            }
            (None, None) => {}
        }
    }

    /// What stands in an empty field: the price of other sizes where that holds, else that none is given where one is needed.
    fn hint(&self, list: &PriceList, estimate: &Estimate, units: Units) -> String {
        let held = list.row(self.goods, self.size_m, self.branch_m);
        let is_needed = estimate.items.iter().any(|item| self.is(&Self::of(item)));
        match held {
            Some(row) => figure(row, units),
            None if is_needed => NO_PRICE.into(),
            None => String::new(),
        }
    }
}

/// Shows the rows; what is typed goes into the next list.
pub fn show(ui: &mut Ui, session: &Session, view: &mut View, next: &mut PriceList) {
    let estimate = session.worked().estimate();
    if let Some(incomplete) = estimate.incomplete() {
        ui.colored_label(ui.visuals().warn_fg_color, format!("{incomplete}: {}.", estimate.unpriced.join(", ")));
    }
    ui.label(RichText::new("Pipe by size").font(bold(13.0)));
    ui.horizontal_wrapped(|ui| {
        for goods in BY_SIZE {
            ui.selectable_value(&mut view.price_goods, goods, goods.word());
        }
    });
    pipe(ui, session.plan(), estimate, view.price_goods, next);
    ui.label(RichText::new("Fittings and work").font(bold(13.0)));
    pieces(ui, session.plan(), estimate, next);
}

/// Sizes that a table of goods has a row for: stocked, priced or needed; the last is for all others.
fn sizes(plan: &Plan, estimate: &Estimate, goods: Goods) -> Vec<Option<f64>> {
    let stock = plan.cost_weights.pipe.iter().map(|pipe| pipe.size_m);
    let priced = plan.price_list.rows.iter().filter(|row| row.goods == goods).filter_map(|row| row.size_m);
    let needed = estimate.items.iter().filter(|item| item.goods == goods).filter_map(|item| item.size_m);
    let mut sizes: Vec<f64> = stock.chain(priced).chain(needed).collect();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup_by(|one, other| (*one - *other).abs() < SAME_M);
    sizes.into_iter().map(Some).chain([None]).collect()
}

/// A table of pipe: a row a size with its price, its roll and how much the plan needs.
fn pipe(ui: &mut Ui, plan: &Plan, estimate: &Estimate, goods: Goods, next: &mut PriceList) {
    let (units, sizes) = (plan.title.units, sizes(plan, estimate, goods));
    let unit = goods.measure().unit(units).1;
    let per = if unit == "each" { "Price each".to_string() } else { format!("Price / {unit}") };
    let mut refused = None;
    Grid::new("pipe prices").num_columns(4).spacing(vec2(12.0, 4.0)).show(ui, |ui| {
        for heading in ["Size", &per, &format!("Roll, {}", units.sign()), "Needed"] {
            ui.label(RichText::new(heading).font(bold(12.5)));
        }
        ui.end_row();
        for (i, size_m) in sizes.iter().enumerate() {
            let what = For { goods, size_m: *size_m, branch_m: None };
            ui.label(size_m.map_or("others".into(), |size_m| units.pipe(size_m)));
            let below = sizes.iter().skip(i + 1).flatten().count();
            let price = price_cell(ui, plan, estimate, (what, below));
            // A column that was pasted goes on into the sizes below.
            for (price, size_m) in price.value.into_iter().flatten().zip(&sizes[i..]) {
                For { size_m: *size_m, ..what }.set(next, price);
            }
            let roll = roll_cell(ui, plan, what);
            if let (Some(pack_m), Some(row)) = (roll.value, next.rows.iter_mut().find(|row| what.is(&For::row(row))))
            {
                row.pack_m = pack_m;
            }
            let needed = estimate.items.iter().find(|item| what.is(&For::of(item)));
            ui.label(needed.map(|item| item.needed_words(units)).unwrap_or_default());
            ui.end_row();
            refused = refused.take().or(price.refused).or(roll.refused);
        }
    });
    if let Some(why) = refused {
        ui.colored_label(ui.visuals().error_fg_color, why);
    }
    let paste = "A column copied from a spreadsheet is pasted into its first size. An empty price takes it away.";
    ui.label(RichText::new(paste).font(plain(11.5)).color(ui.visuals().weak_text_color()));
}

/// The price of a size; more than one, where a column was pasted, for the sizes below it.
fn price_cell(
    ui: &mut Ui,
    plan: &Plan,
    estimate: &Estimate,
    (what, below): (For, usize),
) -> Entered<Vec<Option<f64>>> {
    let (list, units) = (&plan.price_list, plan.title.units);
    let shown = what.find(list).map(|row| figure(row, units)).unwrap_or_default();
    let hint = what.hint(list, estimate, units);
    entry(ui, &name(what, units), (shown, &hint), WIDE, |text| {
        read_prices(text, below + 1, |word| read_price(word, what.goods, units))
    })
}

fn roll_cell(ui: &mut Ui, plan: &Plan, what: For) -> Entered<Option<f64>> {
    let units = plan.title.units;
    let row = what.find(&plan.price_list);
    let shown = |pack_m: f64| measure::trimmed(pack_m / units.length_unit().metres(), 0, 3);
    let roll = row.and_then(|row| row.pack_m).map(shown).unwrap_or_default();
    ui.add_enabled_ui(row.is_some(), |ui| {
        ui.set_min_width(WIDE);
        entry(ui, &format!("{}, roll", name(what, units)), (roll, ""), WIDE, |text| match text.trim() {
            "" => Ok(None),
            text => measure::parse_length(text, units).map(Some).map_err(|error| error.to_string()),
        })
    })
    .inner
}

fn name(what: For, units: Units) -> String {
    if what.size_m.is_some() { what.words(units) } else { format!("{}, other sizes", what.goods.word()) }
}

/// A price as it stands in a field: that of one of the person's units.
fn figure(row: &PriceRow, units: Units) -> String {
    measure::trimmed(row.goods.measure().price(row.price, units), 2, 4)
}

/// Fittings that are priced or needed, and all work.
fn pieces(ui: &mut Ui, plan: &Plan, estimate: &Estimate, next: &mut PriceList) {
    let (list, units) = (&plan.price_list, plan.title.units);
    let mut rows: Vec<For> = Vec::new();
    let needed = estimate.items.iter().map(For::of);
    let any = |goods| For { goods, size_m: None, branch_m: None };
    let work = Goods::ALL.into_iter().filter(|(goods, _)| !goods.is_material()).map(|(goods, _)| any(goods));
    for what in list.rows.iter().map(For::row).chain(needed).chain(work) {
        if !BY_SIZE.contains(&what.goods) && !rows.iter().any(|row| row.is(&what)) {
            rows.push(what);
        }
    }
    rows.sort_by(|one, other| order(one).partial_cmp(&order(other)).unwrap_or(std::cmp::Ordering::Equal));
    table(ui, "price rows", |ui| {
        for what in &rows {
            let own = what.find(list).map(|row| row.goods.measure().price_words(row.price, units));
            let (field, hint) = ((what.words(units), WIDER), what.hint(list, estimate, units));
            let shown = (own.unwrap_or_default(), hint.as_str());
            let read = |text: &str| read_price(text, what.goods, units);
            wide_field(ui, (&field.0, field.1), shown, read).into_iter().for_each(|price| what.set(next, price));
        }
    });
    ui.menu_button("Add a price", |ui| {
        for (goods, word) in Goods::ALL.into_iter().filter(|(goods, _)| !rows.iter().any(|row| row.goods == *goods)) {
            if !BY_SIZE.contains(&goods) && ui.button(word).clicked() {
                any(goods).set(next, Some(0.0));
                ui.close();
            }
        }
    });
}

/// Goods in their order, larger sizes after smaller.
fn order(what: &For) -> (Goods, f64, f64) {
    (what.goods, what.size_m.unwrap_or(0.0), what.branch_m.unwrap_or(0.0))
}

/// The prices of a column as pasted, or one; `None` for an empty field, which takes the price away. Lines of what is pasted
/// arrive as blanks: a column with an empty cell, or with words, would put each price below it on another size, and is refused.
fn read_prices(
    text: &str,
    most: usize,
    read: impl Fn(&str) -> Result<Option<f64>, String>,
) -> Result<Vec<Option<f64>>, String> {
    let is_figure = |word: &&str| word.contains(|c: char| c.is_ascii_digit());
    let words: Vec<&str> = text.split_whitespace().collect();
    if words.iter().filter(|word| is_figure(word)).count() < 2 {
        return read(text).map(|price| vec![price]);
    }
    let mut gaps = text.trim().split(|c: char| !c.is_whitespace()).map(str::len).filter(|gap| *gap > 0);
    let first = gaps.next();
    if !words.iter().all(is_figure) || gaps.any(|gap| Some(gap) != first) {
        return Err(
            "a column is prices alone, with no empty cell: paste what is above and below one by itself".into()
        );
    }
    if words.len() > most {
        return Err(format!("{} prices, and {} from here on", words.len(), measure::how_many(most, "size")));
    }
    words.into_iter().map(read).collect()
}

/// A price as typed, of one base unit; `None` for an empty field.
fn read_price(text: &str, goods: Goods, units: Units) -> Result<Option<f64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-');
    let word = text.find(figure).and_then(|from| text[from..].split_whitespace().next());
    let value = word.and_then(|word| word.parse::<f64>().ok()).filter(|value| (0.0..=1e7).contains(value));
    value
        .map(|value| Some(value / goods.measure().unit(units).0))
        .ok_or_else(|| format!("'{text}' is no price such as 12.50"))
}
