//! The Dig stage: what it takes, what it costs, layouts side by side, and what leaves the program.

use egui::{Grid, RichText, TextEdit, Ui, vec2};

use super::{price_rows, row, table, text_field, title};
use crate::command::Command;
use crate::panels::preview::{papers, tongues};
use crate::panels::survey::signature;
use crate::signing;
use crate::theme::{bold, plain};
use crate::view::View;
use crate::wish::Wish;
use job::Session;
use job::compare;
use job::handing::{self, PaperWish};

/// Shows the card.
pub fn card(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    title(ui, "From plan to trench");
    leaving(ui, session, view, wishes);
    super::title_block::section(ui, session, wishes);
    ui.separator();
    money(ui, session);
    ui.separator();
    layouts(ui, session, view, wishes);
    ui.separator();
    super::drying::section(ui, session, view, wishes);
    ui.separator();
    prices(ui, session, view, wishes);
}

/// Paper and files that leave.
fn leaving(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    ui.horizontal_wrapped(|ui| {
        ui.label("Paper");
        papers(ui, view, session.plan().title.units);
    });
    ui.horizontal_wrapped(|ui| tongues(ui, view));
    ui.horizontal_wrapped(|ui| {
        if ui
            .button(RichText::new("Hand over…").font(bold(14.0)))
            .on_hover_text("A folder with the PDF, tables, open formats and a note")
            .clicked()
        {
            wishes.push(Wish::Run(Command::HandOver));
        }
        if ui.button("Sheets as PDF…").on_hover_text("Plan sheet, profiles, cut sheets, lists").clicked() {
            wishes.push(Wish::Run(Command::WriteSheets));
        }
        crate::panels::preview::button(ui, wishes);
        if ui.button("Hub levels…").on_hover_text("Read a CSV: line,station,level,offset").clicked() {
            wishes.push(Wish::Run(Command::ReadHubs));
        }
    });
    handed(ui, view, wishes);
    issuing(ui, session, view, wishes);
}

/// The folder that was handed over: its path, and the way to it.
fn handed(ui: &mut Ui, view: &View, wishes: &mut Vec<Wish>) {
    let Some(folder) = &view.handed else { return };
    let path = folder.display().to_string();
    ui.label(RichText::new("Handed over").font(bold(13.0)));
    ui.add(egui::Label::new(&path).wrap());
    ui.horizontal_wrapped(|ui| {
        if ui.button("Open folder").clicked() {
            wishes.push(Wish::OpenFolder(folder.clone()));
        }
        if ui.button("Copy path").clicked() {
            ui.copy_text(path);
            wishes.push(Wish::Say("The path is copied.".into()));
        }
    });
}

/// Which sheets these are, and issuing the next ones: refused while something is to be fixed, unless it leaves all the same.
fn issuing(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    // Sheets are of the plan as it stands, whatever is being dragged.
    let worked = session.at_rest();
    let edition = sheets::edition(&worked.plan, worked.told());
    ui.label(RichText::new(&edition.title).font(bold(13.0)));
    if let Some(warning) = &edition.warning {
        ui.colored_label(ui.visuals().warn_fg_color, warning);
    }
    for no_dig in handing::no_dig_lines(worked) {
        ui.colored_label(ui.visuals().error_fg_color, RichText::new(no_dig).font(bold(13.0)));
    }
    let next = plan::revision_letter(worked.plan.revisions.len());
    let (signed, all_the_same) = (&mut view.signature, &mut view.all_the_same);
    egui::CollapsingHeader::new(format!("Issue revision {next}")).show(ui, |ui| {
        let held_back = worked.held_back();
        if !held_back.is_empty() {
            ui.colored_label(ui.visuals().warn_fg_color, "Not issued while these are to be fixed:");
            held_back.iter().for_each(|finding| drop(ui.label(RichText::new(finding).font(plain(12.5)))));
            ui.checkbox(all_the_same, "All the same, by my name: it stands on every sheet concerned");
        }
        signature(ui, signed);
        let answered = held_back.is_empty() || *all_the_same;
        let missing = signing::missing_reason(signed);
        let word = if held_back.is_empty() { "Issue" } else { "Issue all the same" };
        let button = egui::Button::new(format!("{word} {next}"));
        let former = session.is_on_former_ground();
        if former {
            ui.label("The ground is not yet laid with the corrections of the survey.");
        }
        if ui.add_enabled(missing.is_none() && answered && !former, button).clicked() {
            let wish =
                PaperWish { all_the_same: Some(signed.clone()).filter(|_| *all_the_same), ..PaperWish::default() };
            match handing::issue(worked, &wish, signed) {
                Ok(edit) => {
                    wishes.push(Wish::Edit(edit));
                    // It answers for these sheets only.
                    *all_the_same = false;
                }
                Err(held_back) => wishes.push(Wish::Say(format!("Nothing is issued. {held_back}"))),
            }
        }
        missing.iter().for_each(|text| drop(ui.label(RichText::new(*text).font(plain(12.0)))));
    });
}

fn money(ui: &mut Ui, session: &Session) {
    let worked = session.worked();
    let (estimate, units) = (worked.estimate(), worked.plan.title.units);
    let money = |value: f64| estimate.money(value);
    title(ui, "How much of it (estimate)");
    let source = if estimate.source.trim().is_empty() { "no prices entered" } else { &estimate.source };
    ui.label(RichText::new(format!("Prices: {source}")).font(plain(12.0)));
    Grid::new("items").num_columns(2).spacing(vec2(10.0, 4.0)).show(ui, |ui| {
        let soft = ui.visuals().weak_text_color();
        let mut line = |name: RichText, amount: RichText| {
            ui.label(name);
            at_right(ui, amount);
            ui.end_row();
        };
        let quiet = |name: &str| RichText::new(name).color(soft);
        for item in &estimate.items {
            let packs = item.packs_words(units).map(|packs| format!("\n{packs}")).unwrap_or_default();
            let amount = item.amount(units).map_or("no price".into(), money);
            // Quantity and price stand below the name: together they make the amount.
            let price = estimate.price_words(item, units).map(|price| format!(" × {price}")).unwrap_or_default();
            let name = format!("{}\n{}{price}{packs}", takeoff::words(item, &worked.plan), item.bought_words(units));
            line(quiet(&name), amount.into());
        }
        line(quiet("Material"), money(estimate.materials).into());
        line(quiet("Work"), money(estimate.work).into());
        let strong = |text: String| RichText::new(text).font(bold(15.0));
        line(strong("Total".into()), strong(money(estimate.total())));
        let with = format!("With a contingency of {}", estimate.contingency_words());
        line(quiet(&with), estimate.about(estimate.with_contingency()).into());
    });
    ui.add_space(4.0);
    table(ui, "quantities", |ui| {
        row(ui, "Trench", units.volume(worked.totals.trench_m3));
        if worked.totals.unknown_m > 0.0 {
            row(ui, "Trench without a volume", units.length(worked.totals.unknown_m));
        }
        if let Some(deepest_m) = worked.totals.deepest_trench_m {
            row(ui, "Deepest trench", units.depth(deepest_m));
        }
        for saving in takeoff::savings(&worked.plan) {
            let worth = saving.money.map(|value| estimate.about(value)).unwrap_or_default();
            row(
                ui,
                &format!("{} tied in spares", saving.name),
                format!("{}   {worth}", units.length(saving.length_m)),
            );
        }
    });
}

/// A figure at the right edge of the panel.
fn at_right(ui: &mut Ui, figure: impl Into<egui::WidgetText>) {
    let room = vec2((ui.clip_rect().right() - ui.cursor().left() - 16.0).max(40.0), ui.spacing().interact_size.y);
    let right = egui::Layout::right_to_left(egui::Align::Center);
    ui.allocate_ui_with_layout(room, right, |ui| ui.label(figure));
}

/// Layouts put aside, side by side.
fn layouts(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    title(ui, "Layouts side by side");
    let (plan, layout_name) = (session.plan(), &mut view.layout_name);
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Put this one aside as");
        ui.add(TextEdit::singleline(layout_name).desired_width(110.0)).labelled_by(label.id);
        let name = layout_name.trim().to_string();
        if ui.add_enabled(!name.is_empty(), egui::Button::new("Put aside")).clicked() {
            wishes.push(Wish::Edit(plan::put_aside(plan, &name)));
        }
    });
    if plan.alternatives.is_empty() {
        ui.label(
            RichText::new("Put a layout aside, change it, and see here what the change costs.").font(plain(12.5)),
        );
        return;
    }
    let worked = session.at_rest();
    let (units, currency) = (plan.title.units, &worked.estimate().currency);
    for (i, layout) in compare::layouts(worked).into_iter().enumerate() {
        ui.label(RichText::new(&layout.name).font(bold(13.5)));
        let full = layout.full_words().map_or(String::new(), |full| format!(", {full}"));
        ui.label(format!("{}, {}{full}", units.length(layout.length_m), worked.estimate().about(layout.total)));
        ui.label(RichText::new(&layout.findings).font(plain(12.5)));
        if i == 0 {
            continue;
        }
        egui::CollapsingHeader::new("What differs").id_salt(("differs", i)).show(ui, |ui| {
            for difference in &layout.differences {
                ui.label(format!("{}: {}", difference.name, difference.gap_words(currency)));
            }
        });
        ui.horizontal(|ui| {
            if ui.button(format!("Take {}", layout.name)).clicked() {
                wishes.extend(plan::take_out(plan, &layout.name).map(Wish::Edit));
            }
            if ui.button(format!("Delete {}", layout.name)).clicked() {
                wishes.push(Wish::Edit(plan::drop_alternative(plan, &layout.name)));
            }
        });
    }
}

/// The price list as a table to type in.
fn prices(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    title(ui, "Price list");
    let plan = session.plan();
    let (now, units) = (&plan.price_list, plan.title.units);
    let mut next = now.clone();
    table(ui, "price head", |ui| {
        let text = |text: &str| Ok::<_, String>(text.trim().to_string());
        if let Some(source) = text_field(ui, "Source of the prices", now.source.clone(), text) {
            next.source = source;
        }
        super::currency::rows(ui, now, &mut next);
        let percent = |text: &str| {
            let value = text.trim().trim_end_matches('%').trim().parse::<f64>().ok();
            value
                .filter(|v| (0.0..=100.0).contains(v))
                .map(|v| v / 100.0)
                .ok_or_else(|| "percent from 0 to 100".to_string())
        };
        let shown = |share: f64| format!("{} %", (share * 1000.0).round() / 10.0);
        next.waste = text_field(ui, "Waste, cutting and laps", shown(now.waste), percent).unwrap_or(now.waste);
        next.contingency = text_field(ui, "Contingency", shown(now.contingency), percent).unwrap_or(now.contingency);
        let factor = |text: &str| {
            let value = text.trim().parse::<f64>().ok();
            value
                .filter(|v| (0.1..=100.0).contains(v))
                .ok_or_else(|| "1 for ordinary ground, 2 for twice as slow".to_string())
        };
        next.hardness =
            text_field(ui, "Ground, times as slow", now.hardness.to_string(), factor).unwrap_or(now.hardness);
        for (i, rate) in now.rates.iter().enumerate() {
            let name = format!("Digs in an hour from {}", units.depth(rate.from_m));
            if let Some(length_m) = super::length_field(ui, &name, rate.per_hour_m, units) {
                next.rates[i].per_hour_m = length_m;
            }
        }
    });
    price_rows::show(ui, session, view, &mut next);
    ui.horizontal_wrapped(|ui| {
        if ui.button("Read price list…").on_hover_text("A CSV: item,size,branch,price,per,roll,currency").clicked()
        {
            wishes.push(Wish::Run(Command::ReadPrices));
        }
        if ui.button("Write price list…").clicked() {
            wishes.push(Wish::Run(Command::WritePrices));
        }
    });
    if next != *now {
        wishes.push(Wish::Edit(plan::set_price_list(next)));
    }
}
