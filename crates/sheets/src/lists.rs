//! Material list, cost, findings and what was accepted, cautions.

use std::collections::BTreeMap;

use measure::Units;
use plan::Measure;
use takeoff::{Band, Cutting, Item};

use crate::book::Making;
use crate::flow::Flow;
use crate::notices::Listed;
use crate::page::{Align, Page};

/// Findings from which on they are listed in smaller type (judgement: some five pages).
const MANY_FINDINGS: usize = 60;

impl Making<'_> {
    /// The lists, one after the other.
    pub(crate) fn lists(&self) -> Vec<Page> {
        let size_mm = self.work.paper.standing_mm();
        let mut pages = self.materials(Flow::new(self, size_mm, "Material list"));
        pages.extend(self.cost(Flow::new(self, size_mm, "Cost, an estimate")));
        pages.extend(self.findings(Flow::new(self, size_mm, "Findings")));
        pages.extend(self.cautions(Flow::new(self, size_mm, "Cautions")));
        pages
    }

    fn materials(&self, mut flow: Flow) -> Vec<Page> {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let waste = measure::trimmed(plan.price_list.waste * 100.0, 0, 2);
        flow.paragraph(
            &format!(
                "Counted from the plan. Pipe along its slope, {waste} % added for cutting and laps, in whole rolls and sticks."
            ),
            9.0,
            false,
        );
        let row = |item: &&Item| {
            let order = item.packs_words(units).unwrap_or(item.bought_words(units));
            vec![takeoff::words(item, plan), item.needed_words(units), order]
        };
        let materials = self.estimate.items.iter().filter(|item| item.goods.is_material());
        let rows: Vec<Vec<String>> = materials.map(|item| row(&item)).collect();
        let columns = [("What", 0.46, Align::Left), ("Needed", 0.24, Align::Right), ("To order", 0.30, Align::Right)];
        flow.table(&columns, &rows, 10.0);
        self.estimate.cutting.iter().for_each(|cutting| self.cutting(&mut flow, cutting));
        flow.heading("Trench by depth");
        let band =
            |band: &Band| vec![band_words(band, units), units.length(band.length_m), units.volume(band.volume_m3)];
        let rows: Vec<Vec<String>> = self.estimate.bands.iter().map(band).collect();
        flow.table(
            &[("Depth of trench", 0.5, Align::Left), ("Length", 0.25, Align::Right), ("Soil", 0.25, Align::Right)],
            &rows,
            10.0,
        );
        flow.finish()
    }

    /// Which roll or stick goes where.
    fn cutting(&self, flow: &mut Flow, cutting: &Cutting) {
        let (units, cut, pack) = (self.work.plan.title.units, &cutting.plan, cutting.pack_word());
        let pipe = format!("{} {}", units.pipe(cutting.pipe.size_m), cutting.pipe.goods.word());
        flow.heading(&format!("Cutting {pipe}"));
        let sure = if cut.proved {
            "no way of cutting has fewer splices"
        } else {
            "a good way of cutting; it is not proved that none has fewer splices"
        };
        flow.paragraph(
            &format!(
                "{} of {} and {} would do without waste; {} left over. By reckoning {sure}.",
                measure::how_many(cut.rolls, pack),
                units.length(cut.roll_m),
                measure::how_many(cut.splices, "splice"),
                units.length(cut.left_m())
            ),
            9.0,
            false,
        );
        let name = |piece: usize| {
            let piece = &cutting.pipe.pieces[piece];
            (self.work.plan.lines.get(&piece.line).map_or("", |line| line.name.as_str()), piece.from_m)
        };
        let row = |cut: &takeoff::Cut| {
            let (line, from_m) = name(cut.piece);
            let splice = if cut.from_m > 0.0 { "spliced on" } else { "" };
            vec![
                format!("{}", cut.roll),
                line.into(),
                self.station(from_m + cut.from_m),
                units.length(cut.length_m),
                splice.into(),
            ]
        };
        let rows: Vec<Vec<String>> = cut.cuts.iter().map(row).collect();
        let columns = [
            (if pack == "stick" { "Stick" } else { "Roll" }, 0.13, Align::Right),
            ("Line", 0.25, Align::Left),
            ("From", 0.19, Align::Right),
            ("Length", 0.19, Align::Right),
            ("", 0.24, Align::Left),
        ];
        flow.table_two_up(&columns, &rows, 9.0);
    }

    fn cost(&self, mut flow: Flow) -> Vec<Page> {
        let (estimate, plan) = (&self.estimate, self.work.plan);
        let units = plan.title.units;
        let money = |value: f64| estimate.money(value);
        let source = match estimate.source.trim() {
            "" => "The price list has no source; treat every sum as unknown.".to_string(),
            source => format!("Prices: {source}."),
        };
        let currency = if estimate.currency.is_empty() { " No currency is stated." } else { "" };
        flow.paragraph(&format!("An estimate, no offer. {source}{currency}"), 10.0, true);
        let row = |item: &Item| {
            let price = estimate.price_words(item, units).unwrap_or("no price".into());
            let amount = item.amount(units).map_or("–".into(), money);
            vec![takeoff::words(item, plan), item.bought_words(units), price, amount]
        };
        let rows: Vec<Vec<String>> = estimate.items.iter().map(row).collect();
        let columns = [
            ("What", 0.40, Align::Left),
            ("Bought", 0.20, Align::Right),
            ("Price", 0.20, Align::Right),
            ("Amount", 0.20, Align::Right),
        ];
        flow.table(&columns, &rows, 10.0);
        let contingency = estimate.contingency_words();
        let mut sums = vec![
            vec!["Material".into(), money(estimate.materials)],
            vec!["Work".into(), money(estimate.work)],
            vec!["Total".into(), money(estimate.total())],
            vec![
                format!("With a contingency of {contingency} for what nobody knows yet"),
                estimate.about(estimate.with_contingency()),
            ],
        ];
        if let Some(per_m2) = estimate.per_m2() {
            let (area_m2, _) = Measure::Area.unit(units);
            let unit = if units.is_metric() { "hectare" } else { "acre" };
            sums.push(vec![format!("Total for each {unit}"), estimate.about(per_m2 * area_m2)]);
        }
        flow.table(&[("Together", 0.7, Align::Left), ("", 0.3, Align::Right)], &sums, 11.0);
        if !estimate.unpriced.is_empty() {
            flow.paragraph(
                &format!("{}: {}.", estimate.incomplete().unwrap_or_default(), estimate.unpriced.join(", ")),
                9.0,
                true,
            );
        }
        if let Some(words) = estimate.unfathomed(units) {
            flow.paragraph(&format!("{words}."), 9.0, true);
        }
        for saving in &self.savings {
            let worth = saving.money.map(|value| format!(", {}", estimate.about(value))).unwrap_or_default();
            flow.paragraph(
                &format!(
                    "Old tile {} tied in spares {} of new line{worth}.",
                    saving.name,
                    units.length(saving.length_m)
                ),
                9.0,
                false,
            );
        }
        self.by_line(&mut flow);
        flow.finish()
    }

    /// What each line costs, and what the estimate holds beside the lines.
    fn by_line(&self, flow: &mut Flow) {
        let (estimate, plan) = (&self.estimate, self.work.plan);
        let units = plan.title.units;
        flow.heading("By line, and how the lines add up to the estimate");
        let rows: Vec<Vec<String>> = estimate
            .by_line(units)
            .iter()
            .map(|row| row.cells(units, |value| estimate.money(value)).to_vec())
            .collect();
        let columns = [
            ("Line", 0.21, Align::Left),
            ("Length", 0.10, Align::Right),
            ("Pipe", 0.12, Align::Right),
            ("Fittings", 0.10, Align::Right),
            ("Machine", 0.13, Align::Right),
            ("To protect", 0.10, Align::Right),
            ("Protection", 0.11, Align::Right),
            ("Together", 0.13, Align::Right),
        ];
        let limit = units.depth(plan.criteria.protected_trench_m);
        flow.paragraph(
            &format!("To protect: trench {limit} or deeper, sloped, shored or boxed, every stretch of it."),
            9.0,
            false,
        );
        flow.table(&columns, &rows, 8.5);
    }

    fn findings(&self, mut flow: Flow) -> Vec<Page> {
        let open: Vec<_> =
            self.listed.iter().filter(|listed| listed.finding.accepted.is_none() || listed.no_dig).collect();
        if open.is_empty() {
            flow.paragraph(
                "The checks found nothing open. That is no promise: walk the lines before you dig.",
                10.0,
                false,
            );
        }
        let (rows, size_pt) = match open.len() > MANY_FINDINGS {
            true => (rows_in_short(&open), 7.5),
            false => (open.iter().map(|listed| finding_row(listed, in_full(listed))).collect(), 9.0),
        };
        let columns = [
            ("", 0.05, Align::Right),
            ("", 0.13, Align::Left),
            ("Finding", 0.76, Align::Left),
            ("Check", 0.06, Align::Right),
        ];
        flow.table(&columns, &rows, size_pt);
        self.sources(&mut flow);
        flow.heading("Accepted by name");
        let accepted = self.accepted();
        if accepted.is_empty() {
            flow.paragraph("None.", 10.0, false);
        }
        accepted.iter().for_each(|words| flow.paragraph(words, 10.0, false));
        if !self.work.plan.limit_log.is_empty() {
            flow.heading("Limits changed for this job");
            let units = self.work.plan.title.units;
            let change = |change: &plan::LimitChange| {
                let signed = &change.signed;
                format!("{}. {}. {}, {}", change.words(units), signed.because, signed.by, signed.on)
            };
            self.work.plan.limit_log.iter().for_each(|entry| flow.paragraph(&change(entry), 9.0, false));
        }
        flow.finish()
    }

    /// What each check that found something stands on, and the documents written out with how each is known.
    fn sources(&self, flow: &mut Flow) {
        let checks: BTreeMap<u16, &str> =
            self.listed.iter().map(|listed| (listed.finding.check, listed.finding.source)).collect();
        if checks.is_empty() {
            return;
        }
        flow.heading("Sources");
        let says = |(check, source): (&u16, &&str)| format!("Check {check}: {}.", plan::in_words(source));
        checks.iter().for_each(|pair| flow.paragraph(&says(pair), 8.5, false));
        let all: Vec<&str> = checks.into_values().collect();
        plan::written_out(&all.join(" ")).lines().for_each(|line| flow.paragraph(line, 8.5, false));
    }

    pub(crate) fn cautions(&self, mut flow: Flow) -> Vec<Page> {
        plan::CAUTION.split(". ").for_each(|sentence| {
            flow.paragraph(&format!("{}.", sentence.trim_end_matches('.')), 12.0, false);
            flow.gap(1.5);
        });
        flow.heading("Sheets issued");
        if self.work.plan.revisions.is_empty() {
            flow.paragraph("None yet. These sheets are a draft.", 10.0, false);
        }
        self.work.plan.revisions.iter().for_each(|revision| self.revision(&mut flow, revision));
        flow.heading("How the money and the quantities were found");
        flow.paragraph(
            "Trenches with upright walls, average end areas; hours from the pace entered for each depth; pipe along its slope. \
             Rock, water in the trench, weather and old tile are not in the figures but in the contingency.",
            10.0,
            false,
        );
        flow.finish()
    }
}

impl Making<'_> {
    /// A revision: why, by whom and when, what it told otherwise, and what was open.
    fn revision(&self, flow: &mut Flow, revision: &plan::Revision) {
        let signed = &revision.signed;
        let how = if revision.is_all_the_same() { ", issued all the same" } else { "" };
        let words = format!("Revision {}{how}: {}. {}, {}", revision.letter, signed.because, signed.by, signed.on);
        flow.paragraph(&words, 10.0, false);
        for open in &revision.open {
            let what = if open.no_dig { "DO NOT DIG" } else { "open" };
            flow.paragraph(
                &format!("– {what}: {}, at {} (check {})", open.title, open.place, open.subject.check),
                9.0,
                false,
            );
        }
        if !revision.changed.is_empty() {
            flow.paragraph(&format!("– changed: {}", revision.changed.join("; ")), 9.0, false);
        }
    }
}

fn in_full(listed: &Listed) -> String {
    format!("{}: {}", listed.finding.title, listed.finding.text())
}

fn finding_row(listed: &Listed, text: String) -> Vec<String> {
    vec![listed.number.to_string(), listed.severity_words().into(), text, listed.finding.check.to_string()]
}

/// Of many findings that follow each other and have the same way out, that is told once, below the last of them.
fn rows_in_short(open: &[&Listed]) -> Vec<Vec<String>> {
    let same = |one: &&Listed, other: &&Listed| {
        one.finding.check == other.finding.check && one.finding.way_out() == other.finding.way_out()
    };
    let rows = |group: &[&Listed]| match group {
        [first, .., last] => {
            let way_out = Some(first.finding.way_out()).filter(|words| !words.is_empty());
            let for_all = way_out.map(|words| {
                let text = format!("{} to {}: {words}", first.number, last.number);
                vec![String::new(), String::new(), text, String::new()]
            });
            let each = group.iter().map(|listed| finding_row(listed, listed.finding.message.clone()));
            each.chain(for_all).collect::<Vec<_>>()
        }
        alone => alone.iter().map(|listed| finding_row(listed, in_full(listed))).collect(),
    };
    open.chunk_by(same).flat_map(rows).collect()
}

/// From which depth to which a trench counts, in words.
pub(crate) fn band_words(band: &Band, units: Units) -> String {
    match band.to_m.is_finite() {
        true => format!("{} to {}", units.depth(band.from_m), units.depth(band.to_m)),
        false => format!("over {}", units.depth(band.from_m)),
    }
}
