//! What it costs: every quantity with its price from the job's list, summed as the trade does. An estimate.

use std::collections::BTreeMap;

use design::{Design, LineDesign, Pipe, SLOPE_M};
use measure::{Units, estimated, thousands};
use plan::{Criteria, Envelope, Goods, LineId, LineKind, Measure, Plan, PriceList};

use crate::by_line::CostParts;
use crate::deep::Deep;
use crate::fittings::{Count, by_line, key_of, together};
use crate::pieces::{PipeUse, pieces, pipe};
use crate::rolls::{CuttingPlan, cut, rolls_for};
use crate::trench;

/// One row of the estimate.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it is.
    pub goods: Goods,
    /// Size, metres, where it has one.
    pub size_m: Option<f64>,
    /// Size of a branch or smaller end, metres, where it has one.
    pub branch_m: Option<f64>,
    /// What the plan needs: metres, pieces, cubic metres, hours or square metres.
    pub needed: f64,
    /// What is bought: with waste, in whole packs.
    pub bought: f64,
    /// Whole packs, and the length of one, metres, where it comes so.
    pub packs: Option<(usize, f64)>,
    /// Price of one, where the list has it.
    pub price: Option<f64>,
}

impl Item {
    /// How many are bought as it is printed, in the person's unit.
    pub fn quantity(&self, units: Units) -> f64 {
        self.goods.measure().quantity(self.bought, units)
    }

    /// What it comes to, where it has a price: the quantity as printed times the price as printed, in hundredths.
    pub fn amount(&self, units: Units) -> Option<f64> {
        Some(hundredths(self.quantity(units) * self.goods.measure().price(self.price?, units)))
    }

    /// What is needed in words; of an outlet pipe that is a length, though sticks are bought.
    pub fn needed_words(&self, units: Units) -> String {
        match self.goods {
            Goods::OutletStick => Measure::Length.words(self.needed, units),
            goods => goods.measure().words(self.needed, units),
        }
    }

    /// What is bought in words.
    pub fn bought_words(&self, units: Units) -> String {
        self.goods.measure().words(self.bought, units)
    }

    /// Whole packs in words: "5 × 250 ft", "1 stick of 20 ft".
    pub fn packs_words(&self, units: Units) -> Option<String> {
        let (count, pack_m) = self.packs?;
        let length = measure::trimmed(pack_m / units.length_unit().metres(), 0, 3);
        let packs = match self.pack_word()? {
            "roll" => format!("{count} ×"),
            word => format!("{} of", measure::how_many(count, word)),
        };
        Some(format!("{packs} {length} {}", units.sign()))
    }
}

/// That a length of trench has no volume, in words.
pub fn unfathomed(unknown_m: f64, units: Units) -> String {
    let length = units.length(unknown_m);
    format!(
        "{length} of trench have no volume: no depth is known there, and digging counts at the pace of the shallowest"
    )
}

/// Money as it is printed: in hundredths.
pub(crate) fn hundredths(value: f64) -> f64 {
    measure::round_half_up(value, 2)
}

/// Trench from a depth down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Depth of trench from which it counts, metres.
    pub from_m: f64,
    /// Depth to which it counts, metres; endless for the last.
    pub to_m: f64,
    /// Length of trench in it, metres.
    pub length_m: f64,
    /// Soil out of it, cubic metres.
    pub volume_m3: f64,
}

/// What one line costs, by what it really takes; whole rolls are counted over all lines.
#[derive(Debug, Clone, PartialEq)]
pub struct LineCost {
    /// Its id.
    pub id: LineId,
    /// Its name.
    pub name: String,
    /// What it comes to part by part.
    pub parts: CostParts,
}

/// A pipe's cutting plan with what it cuts.
#[derive(Debug, Clone, PartialEq)]
pub struct Cutting {
    /// The pipe.
    pub pipe: PipeUse,
    /// The plan.
    pub plan: CuttingPlan,
}

impl Cutting {
    /// What it is cut from: "roll", "stick".
    pub const fn pack_word(&self) -> &'static str {
        plan::pack_word(self.plan.roll_m)
    }
}

/// The whole estimate.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Estimate {
    /// Where the prices come from, as the list says.
    pub source: String,
    /// Sign of the currency.
    pub currency: String,
    /// Every row: material first, then work.
    pub items: Vec<Item>,
    /// How rolls are cut, for pipe that comes in rolls.
    pub cutting: Vec<Cutting>,
    /// Trench by depth.
    pub bands: Vec<Band>,
    /// Length of trench whose depth is not known, so that it has no volume, metres.
    pub unknown_m: f64,
    /// Hours of the machine.
    pub hours: f64,
    /// Every new line.
    pub lines: Vec<LineCost>,
    /// Material together, as far as it has prices.
    pub materials: f64,
    /// Work together, as far as it has prices.
    pub work: f64,
    /// Contingency, a share.
    pub contingency_share: f64,
    /// The field, square metres.
    pub field_m2: Option<f64>,
    /// What has no price, in words.
    pub unpriced: Vec<String>,
}

impl Estimate {
    /// That sums lack what has no price, in words; `None` where every item has one.
    pub fn incomplete(&self) -> Option<String> {
        let missing = self.unpriced.len();
        let what = if missing == 1 { "item has" } else { "items have" };
        (missing > 0).then(|| format!("Incomplete: {missing} {what} no price and count as nothing in the sums"))
    }

    /// That trench has no volume where no depth is known, in words; `None` where it is known everywhere.
    pub fn unfathomed(&self, units: Units) -> Option<String> {
        (self.unknown_m > 0.0).then(|| unfathomed(self.unknown_m, units))
    }

    /// A sum with its currency: "€56,165.50", "EUR 56,165.50".
    pub fn money(&self, value: f64) -> String {
        with_currency(&self.currency, &thousands(value, 2))
    }

    /// A sum as far as an estimate is good for, three figures: "about €56,200".
    pub fn about(&self, value: f64) -> String {
        format!("about {}", with_currency(&self.currency, &rounded_sum(value)))
    }

    /// A price with its currency: "€0.75 / m".
    pub fn price_words(&self, item: &Item, units: Units) -> Option<String> {
        Some(with_currency(&self.currency, &item.goods.measure().price_words(item.price?, units)))
    }

    /// The contingency in percent: "12 %".
    pub fn contingency_words(&self) -> String {
        format!("{} %", measure::trimmed(self.contingency_share * 100.0, 0, 2))
    }

    /// Material and work.
    pub fn total(&self) -> f64 {
        self.materials + self.work
    }

    /// With the contingency.
    pub fn with_contingency(&self) -> f64 {
        hundredths(self.total() * (1.0 + self.contingency_share))
    }

    /// The total for each square metre of the field.
    pub fn per_m2(&self) -> Option<f64> {
        self.field_m2.filter(|area_m2| *area_m2 > 0.0).map(|area_m2| self.total() / area_m2)
    }

    /// Length of all new lines on the plan, metres.
    pub fn length_m(&self) -> f64 {
        self.lines.iter().map(|line| line.parts.length_m).sum()
    }
}

/// A figure after the sign or code of its currency; a code stands apart from it.
pub fn with_currency(currency: &str, figure: &str) -> String {
    let gap = if currency.ends_with(char::is_alphabetic) { " " } else { "" };
    format!("{currency}{gap}{figure}")
}

/// Estimates a plan at the prices of its list.
pub fn estimate(plan: &Plan, design: &Design) -> Estimate {
    let list = &plan.price_list;
    let uses = pipe(plan, design);
    let cutting = cutting(list, &uses);
    let fittings = by_line(plan, design, &splices(&cutting));
    let mut items: Vec<Item> = uses.iter().map(|used| pipe_item(list, used)).collect();
    let counts = together(fittings.iter().flat_map(|(_, counts)| counts));
    items.extend(counts.iter().map(|count| fitting_item(list, count)));
    items.extend(bulk(plan, design));
    let hours = new_lines(plan, design).map(|(_, worked)| hours(list, worked, &plan.criteria)).sum();
    let length_m = new_lines(plan, design).map(|(_, worked)| worked.length_m).sum();
    let protected_m = new_lines(plan, design).map(|(_, worked)| Deep::of(worked, &plan.criteria).protected_m()).sum();
    items.extend(work(plan, hours, length_m, protected_m));
    let sum = |material: bool| {
        let alike = items.iter().filter(|item| item.goods.is_material() == material);
        hundredths(alike.filter_map(|item| item.amount(plan.title.units)).sum())
    };
    let (materials, work) = (sum(true), sum(false));
    let unpriced = items.iter().filter(|item| item.price.is_none()).map(|item| words(item, plan)).collect();
    Estimate {
        source: list.source.clone(),
        currency: list.currency.clone(),
        bands: bands(plan, design),
        lines: line_costs(plan, design, &fittings),
        contingency_share: list.contingency,
        field_m2: plan.field.as_ref().map(plan::Field::area_m2),
        unknown_m: new_lines(plan, design).map(|(_, worked)| crate::unknown_m(worked)).sum(),
        hours,
        materials,
        work,
        unpriced,
        cutting,
        items,
    }
}

fn new_lines<'a>(plan: &'a Plan, design: &'a Design) -> impl Iterator<Item = (LineId, &'a LineDesign)> {
    let new = plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
    new.filter_map(|(id, _)| Some((*id, design.lines.get(id)?)))
}

/// An item in words: "tee 6 in × 4 in".
pub fn words(item: &Item, plan: &Plan) -> String {
    let units = plan.title.units;
    let size = |size_m: Option<f64>| size_m.map(|size_m| units.pipe(size_m));
    match (size(item.size_m), size(item.branch_m)) {
        (Some(size), Some(branch)) => format!("{} {size} × {branch}", item.goods.word()),
        (Some(size), None) => format!("{} {size}", item.goods.word()),
        _ => item.goods.word().into(),
    }
}

/// Pipe with waste and in whole rolls; sticks at an outlet come whole without waste.
fn pipe_item(list: &PriceList, used: &PipeUse) -> Item {
    let row = list.row(used.goods, Some(used.size_m), None);
    let (length_m, pack_m) = (used.length_m(), row.and_then(|row| row.pack_m));
    if used.goods == Goods::OutletStick {
        // Each outlet takes whole sticks of its own.
        let sticks = match pack_m {
            Some(pack_m) => used.pieces.iter().map(|piece| rolls_for(piece.length_m - SLOPE_M, pack_m)).sum(),
            None => used.pieces.len(),
        };
        let packs = pack_m.map(|pack_m| (sticks, pack_m));
        let price = row.map(|row| row.price);
        return Item {
            goods: used.goods,
            size_m: Some(used.size_m),
            branch_m: None,
            needed: length_m,
            bought: sticks as f64,
            packs,
            price,
        };
    }
    let with_waste_m = length_m * (1.0 + list.waste);
    let packs = pack_m.map(|pack_m| (rolls_for(with_waste_m, pack_m), pack_m));
    let bought = packs.map_or(with_waste_m, |(count, pack_m)| count as f64 * pack_m);
    let price = row.map(|row| row.price);
    Item { goods: used.goods, size_m: Some(used.size_m), branch_m: None, needed: length_m, bought, packs, price }
}

fn fitting_item(list: &PriceList, count: &Count) -> Item {
    let price = list.row(count.goods, count.size_m, count.branch_m).map(|row| row.price);
    let pieces = count.pieces as f64;
    Item {
        goods: count.goods,
        size_m: count.size_m,
        branch_m: count.branch_m,
        needed: pieces,
        bought: pieces,
        packs: None,
        price,
    }
}

/// Sock and stone.
fn bulk(plan: &Plan, design: &Design) -> Vec<Item> {
    let list = &plan.price_list;
    let mut found = Vec::new();
    let mut stone_m3 = 0.0;
    let mut socks: BTreeMap<i64, (f64, f64)> = BTreeMap::new();
    for (id, worked) in new_lines(plan, design) {
        let line = &plan.lines[&id];
        for body in worked.bodies() {
            let open = pieces(id, worked).into_iter().filter(|(goods, piece)| {
                *goods == Goods::Perforated && (body.from_m..body.to_m).contains(&piece.from_m)
            });
            let open_m: f64 = open.map(|(_, piece)| piece.length_m).sum();
            match line.bed.envelope {
                Envelope::Sock => {
                    let sock = socks.entry(key_of(body.size_m)).or_insert((body.size_m, 0.0));
                    sock.1 += open_m;
                }
                Envelope::Granular(thick_m) => stone_m3 += open_m * envelope_m2(&body, thick_m),
                Envelope::None => {}
            }
        }
        if line.bed.permeable_backfill {
            stone_m3 += stone_fill_m3(worked, plan);
        }
    }
    found.extend(socks.into_values().map(|(size_m, length_m)| bulk_item(list, Goods::Sock, Some(size_m), length_m)));
    found.extend((stone_m3 > 0.0).then(|| bulk_item(list, Goods::Stone, None, stone_m3)));
    found
}

/// Stone round a pipe, square metres of section: a square with the pipe in its middle.
fn envelope_m2(pipe: &Pipe, thick_m: f64) -> f64 {
    let outside_m = pipe.outside_m();
    (outside_m + 2.0 * thick_m).powi(2) - std::f64::consts::PI / 4.0 * outside_m * outside_m
}

/// Stone from the top of the pipe to 1 ft (0.3 m) below the ground, cubic metres (depth of topsoil, judgement).
fn stone_fill_m3(worked: &LineDesign, plan: &Plan) -> f64 {
    let filled = worked.bodies().flat_map(|body| {
        let from_m = body.top_above_invert_m() + crate::TOPSOIL_M;
        trench::above(worked.depth_in(body, 0.0), from_m)
    });
    plan.criteria.trench_width_m * filled.map(|part| part.area_m2()).sum::<f64>()
}

fn bulk_item(list: &PriceList, goods: Goods, size_m: Option<f64>, needed: f64) -> Item {
    let row = list.row(goods, size_m, None);
    let with_waste = needed * (1.0 + list.waste);
    let pack_m = row.and_then(|row| row.pack_m).filter(|_| goods.measure() == Measure::Length);
    let packs = pack_m.map(|pack_m| (rolls_for(with_waste, pack_m), pack_m));
    let bought = packs.map_or(with_waste, |(count, pack_m)| count as f64 * pack_m);
    Item { goods, size_m, branch_m: None, needed, bought, packs, price: row.map(|row| row.price) }
}

fn work_item(list: &PriceList, goods: Goods, amount: f64) -> Item {
    let price = list.row(goods, None, None).map(|row| row.price);
    Item { goods, size_m: None, branch_m: None, needed: amount, bought: amount, packs: None, price }
}

/// Machine, every foot of trench to be protected, and bringing the machine and putting the surface back where the list has
/// a price for it.
fn work(plan: &Plan, hours: f64, length_m: f64, protected_m: f64) -> Vec<Item> {
    let item = |goods, amount| work_item(&plan.price_list, goods, amount);
    let mut found = vec![item(Goods::MachineHour, hours), item(Goods::TrenchProtection, protected_m)];
    let asked = [(Goods::Mobilisation, 1.0), (Goods::Restoration, length_m * plan.price_list.disturbed_m)];
    found.extend(asked.into_iter().map(|(goods, amount)| item(goods, amount)).filter(|item| item.price.is_some()));
    found.retain(|item| item.needed > 0.0);
    found
}

/// What of a line's cost hangs on how deep the ground makes its trench: machine, protection, and stone over the pipe where the
/// backfill is permeable. Not rounded as printed, for it is told of an estimate's range only.
pub fn cost_of_depth(plan: &Plan, id: LineId, worked: &LineDesign) -> f64 {
    let list = &plan.price_list;
    let price = |goods| list.row(goods, None, None).map_or(0.0, |row| row.price);
    let protected_m: f64 = worked
        .trench_from(plan.criteria.protected_trench_m, plan.criteria.bedding_m)
        .iter()
        .map(terrain::Stretch::length_m)
        .sum();
    let is_filled = plan.lines.get(&id).is_some_and(|line| line.bed.permeable_backfill);
    let stone_m3 = if is_filled { stone_fill_m3(worked, plan) * (1.0 + list.waste) } else { 0.0 };
    hours(list, worked, &plan.criteria) * price(Goods::MachineHour)
        + protected_m * price(Goods::TrenchProtection)
        + stone_m3 * price(Goods::Stone)
}

/// Hours of the machine on a line: each part at the pace of its depth; where no depth is known at that of the shallowest.
fn hours(list: &PriceList, worked: &LineDesign, criteria: &Criteria) -> f64 {
    let edges: Vec<f64> = std::iter::once(0.0).chain(list.rates.iter().map(|rate| rate.from_m)).collect();
    let parts = trench::by_depth(worked, criteria, &edges);
    let known_m: f64 = parts.iter().map(|(_, part)| part.length_m()).sum();
    let dug: f64 = parts.iter().map(|(edge, part)| list.hours(part.length_m(), edges[*edge])).sum();
    dug + list.hours((worked.length_m - known_m).max(0.0), 0.0)
}

fn cutting(list: &PriceList, uses: &[PipeUse]) -> Vec<Cutting> {
    let rolled = uses.iter().filter(|used| used.goods != Goods::OutletStick);
    let plan = |used: &PipeUse| {
        let roll_m = list.row(used.goods, Some(used.size_m), None)?.pack_m?;
        Some(Cutting { pipe: used.clone(), plan: cut(&used.pieces, roll_m) })
    };
    rolled.filter_map(plan).collect()
}

/// Splices by line, each the size of its pipe, metres.
fn splices(cutting: &[Cutting]) -> BTreeMap<LineId, Vec<f64>> {
    let mut found: BTreeMap<LineId, Vec<f64>> = BTreeMap::new();
    for Cutting { pipe, plan } in cutting {
        for cut in plan.cuts.iter().filter(|cut| cut.from_m > 0.0) {
            found.entry(pipe.pieces[cut.piece].line).or_default().push(pipe.size_m);
        }
    }
    found
}

/// Trench by the depths at which something changes: ladder, protection, reach of the machine.
fn bands(plan: &Plan, design: &Design) -> Vec<Band> {
    let criteria = &plan.criteria;
    let mut edges = vec![0.0, criteria.ladder_trench_m, criteria.protected_trench_m, criteria.machine_reach_m];
    edges.sort_by(f64::total_cmp);
    let ends = edges.iter().copied().skip(1).chain([f64::INFINITY]);
    let band = |(from_m, to_m): (&f64, f64)| Band { from_m: *from_m, to_m, length_m: 0.0, volume_m3: 0.0 };
    let mut bands: Vec<Band> = edges.iter().zip(ends).map(band).collect();
    for (_, worked) in new_lines(plan, design) {
        for (edge, part) in trench::by_depth(worked, criteria, &edges) {
            bands[edge].length_m += part.length_m();
            let in_ground: f64 = trench::above(std::iter::once(part), 0.0).map(|part| part.area_m2()).sum();
            bands[edge].volume_m3 += in_ground * criteria.trench_width_m;
        }
    }
    bands.retain(|band| band.length_m > 0.0);
    bands
}

fn line_costs(plan: &Plan, design: &Design, fittings: &[(LineId, Vec<Count>)]) -> Vec<LineCost> {
    let list = &plan.price_list;
    let hour = list.row(Goods::MachineHour, None, None).map_or(0.0, |row| row.price);
    let of_line = |(id, counts): &(LineId, Vec<Count>)| {
        let (line, worked) = (plan.lines.get(id)?, design.lines.get(id)?);
        let pipe = pieces(*id, worked).into_iter().filter_map(|(goods, piece)| {
            let row = list.row(goods, Some(piece.size_m), None)?;
            Some(if goods == Goods::OutletStick { row.price } else { row.price * piece.length_m })
        });
        let fittings = counts.iter().filter_map(|count| fitting_item(list, count).amount(plan.title.units));
        let protected_m = Deep::of(worked, &plan.criteria).protected_m();
        Some(LineCost {
            id: *id,
            name: line.name.clone(),
            parts: CostParts {
                length_m: worked.length_m,
                pipe: hundredths(pipe.sum()),
                fittings: hundredths(fittings.sum()),
                machine: hundredths(hours(list, worked, &plan.criteria) * hour),
                protected_m,
                protection: work_item(list, Goods::TrenchProtection, protected_m)
                    .amount(plan.title.units)
                    .unwrap_or(0.0),
            },
        })
    };
    fittings.iter().filter_map(of_line).collect()
}

/// What an old tile that is tied in spares: the new line that would lie in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Saving {
    /// Name of the old line.
    pub name: String,
    /// Its length, metres.
    pub length_m: f64,
    /// Pipe and machine for as long a new line of its size; `None` where the list has no price.
    pub money: Option<f64>,
}

/// What tied-in old tiles spare, by id. One that is replaced spares nothing: new pipe is laid in its place.
pub fn savings(plan: &Plan) -> Vec<Saving> {
    let list = &plan.price_list;
    let tied_in = plan.lines.values().filter(|line| {
        let next = line.flows_into().and_then(|next| plan.lines.get(&next));
        let stays = matches!(line.kind, LineKind::OldTile(old) if old.decision != Some(plan::Decision::Replace));
        stays && next.is_some_and(|next| !next.kind.is_old())
    });
    let saving = |line: &plan::Line| {
        let length_m = line.length_m();
        let pipe = list.row(Goods::Perforated, Some(line.size_m), None).map(|row| row.price * length_m);
        let hour = list.row(Goods::MachineHour, None, None).map(|row| row.price);
        let machine = hour.map(|hour| hour * list.hours(length_m, plan.criteria.target_depth_m));
        Saving {
            name: line.name.clone(),
            length_m,
            money: pipe.zip(machine).map(|(pipe, machine)| hundredths(pipe + machine)),
        }
    };
    tied_in.map(saving).collect()
}

/// Where two layouts differ: a line, and what it costs in each; `None` where it is not there.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// Name of the line, or what else differs.
    pub name: String,
    /// Length in the first and in the second, metres.
    pub length_m: (Option<f64>, Option<f64>),
    /// Cost in the first and in the second.
    pub cost: (Option<f64>, Option<f64>),
}

impl Difference {
    /// About how much more the second costs, with its sign: "+$120".
    pub fn gap_words(&self, currency: &str) -> String {
        let gap = hundredths(self.cost.1.unwrap_or(0.0) - self.cost.0.unwrap_or(0.0));
        measure::signed(gap, &with_currency(currency, &rounded_sum(gap.abs())))
    }
}

/// A sum to three figures; cents only where they are among those.
fn rounded_sum(value: f64) -> String {
    let value = estimated(value);
    thousands(value, if value.abs() < 100.0 { 2 } else { 0 })
}

/// The difference of two estimates, line by line; the last row is what whole rolls and shared work add.
pub fn differences(one: &Estimate, other: &Estimate) -> Vec<Difference> {
    let mut names: Vec<&str> = one.lines.iter().map(|line| line.name.as_str()).collect();
    names.extend(
        other.lines.iter().map(|line| line.name.as_str()).filter(|name| !one.lines.iter().any(|l| l.name == *name)),
    );
    let find = |estimate: &Estimate, name: &str| estimate.lines.iter().find(|line| line.name == name).cloned();
    let mut rows: Vec<Difference> = names
        .into_iter()
        .map(|name| {
            let (a, b) = (find(one, name), find(other, name));
            let pair = |value: fn(&LineCost) -> f64| (a.as_ref().map(value), b.as_ref().map(value));
            Difference {
                name: name.into(),
                length_m: pair(|line| line.parts.length_m),
                cost: pair(|line| line.parts.total()),
            }
        })
        .filter(|row| row.length_m.0 != row.length_m.1 || row.cost.0 != row.cost.1)
        .collect();
    let shared =
        |estimate: &Estimate| estimate.total() - estimate.lines.iter().map(|line| line.parts.total()).sum::<f64>();
    let cost = (Some(shared(one)), Some(shared(other)));
    rows.push(Difference { name: "whole rolls and sticks, stone, shared work".into(), length_m: (None, None), cost });
    rows
}
