//! What a line is laid in and with, stretches of other pipe, and the works at an outlet.

use design::LineDesign;
use egui::{RichText, Ui};
use plan::{
    Edit, Envelope, LeadsTo, Line, LineId, Material, Outlet, Owner, Plan, Pump, Receiving, Slots, Stretch, Wall,
};

use super::grading::stock;
use super::{choice, known_field, length_field, listed, table, text_field};
use crate::theme::bold;
use crate::view::View;
use crate::wish::Wish;
use job::Session;

/// Rows of a new line's card.
pub fn rows(ui: &mut Ui, session: &Session, view: &mut View, id: LineId, next: &mut Line, wishes: &mut Vec<Wish>) {
    let units = session.plan().title.units;
    let now = session.worked().plan.lines[&id].bed;
    egui::CollapsingHeader::new("Pipe, envelope, backfill").show(ui, |ui| {
        table(ui, "bed", |ui| {
            choice(ui, "Pipe is made of", &mut next.bed.material, &Material::ALL);
            choice(ui, "Slots", &mut next.bed.slots, &[(Slots::Ordinary, "ordinary"), (Slots::Narrow, "narrow")]);
            let granular = match now.envelope {
                Envelope::Granular(thick_m) => Envelope::Granular(thick_m),
                _ => Envelope::Granular(session.plan().criteria.envelope_m),
            };
            let envelopes = [(Envelope::None, "none"), (Envelope::Sock, "sock"), (granular, "sand or gravel")];
            choice(ui, "Round the pipe", &mut next.bed.envelope, &envelopes);
            if let Envelope::Granular(thick_m) = now.envelope
                && let Some(thick_m) = length_field(ui, "Thickness", thick_m, units)
            {
                next.bed.envelope = Envelope::Granular(thick_m);
            }
            if let Some(depth_m) = known_field(ui, "Maker allows a trench of", now.maker_depth_m, units) {
                next.bed.maker_depth_m = depth_m;
            }
            if now.organic
                && let Some(settlement_m) = known_field(ui, "Peat will settle by", now.settlement_m, units)
            {
                next.bed.settlement_m = settlement_m;
            }
        });
        ui.checkbox(&mut next.bed.organic, "In organic soil");
        ui.checkbox(&mut next.bed.permeable_backfill, "Trench filled with stone or other open backfill");
        ui.checkbox(&mut next.bed.anchored, "Trench breakers or anchors");
        ui.checkbox(&mut next.bed.rated_for_load, "Pipe rated for the wheels that cross it");
        sizes(ui, session, id, wishes);
        stretches(ui, session, view, id, wishes);
    });
}

/// The sizes of a line from its downstream end up, each picked from stock, and a place to begin another.
fn sizes(ui: &mut Ui, session: &Session, id: LineId, wishes: &mut Vec<Wish>) {
    let (plan, worked) = (session.plan(), session.worked().design.lines.get(&id));
    let (Some(worked), units) = (worked, plan.title.units) else { return };
    let station = |station_m| measure::station(station_m, units);
    let stock = stock(plan);
    let words: Vec<(f64, &str)> = stock.iter().map(|(size_m, word)| (*size_m, word.as_str())).collect();
    ui.label(RichText::new("Sizes from the downstream end up").font(bold(13.0)));
    table(ui, "sizes", |ui| {
        for body in worked.bodies() {
            let mut size_m = body.size_m;
            listed(ui, &format!("{} to {}", station(body.from_m), station(body.to_m)), &mut size_m, &words);
            if size_m != body.size_m {
                wishes.extend(plan::set_size(plan, id, (body.from_m, body.to_m), size_m).map(Wish::Edit));
            }
        }
        let read = |text: &str| {
            let at_m = measure::parse_station(text.trim(), units).filter(|m| *m > 0.0 && *m < worked.length_m);
            at_m.ok_or_else(|| "a station on the line, as 2+00".to_string())
        };
        if let Some(at_m) = text_field(ui, "Another size from", String::new(), read) {
            wishes.extend(next_size(plan, id, worked, at_m).map(Wish::Edit));
        }
    });
}

/// Another size from a station up to where the size there ends: the next smaller in stock, or the next larger where there is
/// none.
fn next_size(plan: &Plan, id: LineId, worked: &LineDesign, at_m: f64) -> Option<Edit> {
    let body = worked.bodies().find(|body| at_m < body.to_m)?;
    let stock = || plan.cost_weights.pipe.iter().map(|pipe| pipe.size_m);
    let smaller = stock().filter(|size_m| *size_m < body.size_m * 0.999).reduce(f64::max);
    let size_m = smaller.or(stock().find(|size_m| *size_m > body.size_m * 1.001))?;
    plan::set_size(plan, id, (at_m, body.to_m), size_m)
}

/// Stretches with pipe of their own.
fn stretches(ui: &mut Ui, session: &Session, view: &mut View, id: LineId, wishes: &mut Vec<Wish>) {
    let plan = session.plan();
    let (line, units) = (&plan.lines[&id], plan.title.units);
    let station = |station_m| measure::station(station_m, units);
    ui.label(RichText::new("Stretches with pipe of their own").font(bold(13.0)));
    for stretch in &line.stretches {
        ui.horizontal(|ui| {
            let place = format!("{} to {}", station(stretch.from_m), station(stretch.to_m));
            ui.label(format!("{place}, {}", words(stretch, units)));
            let plain = Stretch { from_m: stretch.from_m, to_m: stretch.to_m, ..Stretch::default() };
            if ui.button(format!("Take {} back", station(stretch.from_m))).clicked() {
                wishes.extend(plan::lay_stretch(plan, id, plain).map(Wish::Edit));
            }
        });
    }
    another(ui, plan, (id, line), &mut view.stretch, wishes);
}

/// A further stretch of other pipe: from station to station, its size from stock.
fn another(ui: &mut Ui, plan: &Plan, (id, line): (LineId, &Line), form: &mut Stretch, wishes: &mut Vec<Wish>) {
    let (units, length_m) = (plan.title.units, line.length_m());
    let station = |station_m| measure::station(station_m, units);
    let read = |text: &str| {
        let at_m = measure::parse_station(text, units).filter(|at_m| *at_m <= length_m + 0.01);
        at_m.map(|at_m| at_m.min(length_m)).ok_or_else(|| format!("a station up to {}", station(length_m)))
    };
    ui.label(RichText::new("A stretch of other pipe").font(bold(13.0)));
    table(ui, "stretch", |ui| {
        form.from_m = text_field(ui, "From station", station(form.from_m), read).unwrap_or(form.from_m);
        form.to_m = text_field(ui, "To station", station(form.to_m), read).unwrap_or(form.to_m);
        let stock = stock(plan);
        let sizes = stock.iter().map(|(size_m, word)| (Some(*size_m), word.as_str()));
        let sizes: Vec<(Option<f64>, &str)> = std::iter::once((None, "as the line")).chain(sizes).collect();
        listed(ui, "Size of the stretch", &mut form.size_m, &sizes);
        let walls = Wall::ALL.map(|(wall, word)| (Some(wall), word));
        let walls: Vec<(Option<Wall>, &str)> = std::iter::once((None, "as the line")).chain(walls).collect();
        listed(ui, "Wall of the stretch", &mut form.wall, &walls);
        let mut kind = (form.solid, form.heavy, form.must_be_solid);
        let kinds = [
            ((false, false, false), "as the line"),
            ((true, false, false), "solid"),
            // Heavy pipe is laid where wheels cross, and is solid there.
            ((true, true, false), "solid and heavy"),
            ((false, false, true), "must be solid"),
        ];
        listed(ui, "Openings of the stretch", &mut kind, &kinds);
        (form.solid, form.heavy, form.must_be_solid) = kind;
    });
    ui.checkbox(&mut form.plugged, "Clay plugs at both ends");
    ui.checkbox(&mut form.inverts_level, "Eccentric reducers: inverts level");
    let is_ready = form.asks() && form.to_m > form.from_m && form.to_m <= length_m;
    let lay = egui::Button::new(format!("Lay it from {} to {}", station(form.from_m), station(form.to_m)));
    let lay = ui.add_enabled(is_ready, lay);
    if lay.on_disabled_hover_text("Two stations, and a size, a wall or other openings").clicked() {
        wishes.extend(plan::lay_stretch(plan, id, std::mem::take(form)).map(Wish::Edit));
    }
}

/// What a stretch asks for: "5 in, solid and heavy, clay plugs".
fn words(stretch: &Stretch, units: measure::Units) -> String {
    let kind = match (stretch.solid, stretch.heavy, stretch.must_be_solid) {
        (true, true, _) => Some("solid and heavy"),
        (true, false, _) => Some("solid"),
        (false, true, _) => Some("heavy"),
        (false, false, true) => Some("must be solid"),
        (false, false, false) => None,
    };
    let size = stretch.size_m.map(|size_m| units.pipe(size_m));
    let wall = stretch.wall.map(|wall| wall.word().to_string());
    let others = [kind, stretch.plugged.then_some("clay plugs"), stretch.inverts_level.then_some("inverts level")];
    let all: Vec<String> =
        size.into_iter().chain(wall).chain(others.into_iter().flatten().map(String::from)).collect();
    all.join(", ")
}

/// Rows about the works at an outlet.
pub fn outlet(ui: &mut Ui, now: &Outlet, next: &mut Outlet, units: measure::Units) {
    table(ui, "outlet works", |ui| {
        choice(
            ui,
            "Channel is",
            &mut next.owner,
            &[(Owner::Unknown, "not known"), (Owner::Own, "our own"), (Owner::Other, "another's")],
        );
        let pipe = if let LeadsTo::Pipe(pipe) = now.leads_to { pipe } else { Receiving::default() };
        let pump = if let LeadsTo::Pump(pump) = now.leads_to { pump } else { Pump::default() };
        let into = [
            (LeadsTo::Channel, "a ditch or stream"),
            (LeadsTo::Pipe(pipe), "a pipe"),
            (LeadsTo::Pump(pump), "a pump"),
        ];
        choice(ui, "Leads into", &mut next.leads_to, &into);
        if let LeadsTo::Pipe(pipe) = now.leads_to {
            receiving(ui, pipe, next, units);
        }
        choice(ui, "Last pipe is made of", &mut next.outlet_pipe_material, &Material::ALL);
        if let Some(length_m) = length_field(ui, "Hangs out by", now.overhang_m, units) {
            next.overhang_m = length_m;
        }
        let run = |text: &str| match text.trim() {
            "" => Ok(None),
            text => text
                .parse()
                .ok()
                .filter(|v| (0.0..=1000.0).contains(v))
                .map(Some)
                .ok_or("a number such as 1.5".to_string()),
        };
        if let Some(bank_run) =
            text_field(ui, "Bank, run for each rise", now.bank_run.map(|v| v.to_string()).unwrap_or_default(), run)
        {
            next.bank_run = bank_run;
        }
        let degrees = |text: &str| match text.trim() {
            "" => Ok(None),
            text => text
                .parse()
                .ok()
                .filter(|v| (0.0..=360.0).contains(v))
                .map(Some)
                .ok_or("degrees from north".to_string()),
        };
        if let Some(deg) = text_field(
            ui,
            "Channel flows toward",
            now.channel_deg.map(|v| v.to_string()).unwrap_or_default(),
            degrees,
        ) {
            next.channel_deg = deg;
        }
        if let Some(photo) = text_field(ui, "Photo", now.photo.clone(), |text| Ok(text.trim().to_string())) {
            next.photo = photo;
        }
    });
    ui.checkbox(&mut next.rigid, "Last pipe solid and rigid");
    ui.checkbox(&mut next.guard, "Animal guard that opens");
    ui.checkbox(&mut next.armoured, "Bank armored, or the pipe throws clear");
    ui.checkbox(&mut next.outside_bend, "On the outside of a bend");
    if let LeadsTo::Pump(pump) = &mut next.leads_to {
        ui.checkbox(&mut pump.storage, "Storage between starts");
        ui.checkbox(&mut pump.switch, "Level switch");
        ui.checkbox(&mut pump.power, "Power");
    }
}

fn receiving(ui: &mut Ui, pipe: Receiving, next: &mut Outlet, units: measure::Units) {
    let mut changed = pipe;
    changed.size_m = known_field(ui, "Its inside diameter", pipe.size_m, units).unwrap_or(pipe.size_m);
    changed.invert_m = known_field(ui, "Its invert", pipe.invert_m, units).unwrap_or(pipe.invert_m);
    let shown = pipe.free_m3s.map(|flow| units.flow(flow)).unwrap_or_default();
    let read = |text: &str| match text.trim() {
        "" => Ok(None),
        text => measure::parse_flow(text, units).map(Some).map_err(|error| error.to_string()),
    };
    changed.free_m3s = text_field(ui, "It can still take", shown, read).unwrap_or(pipe.free_m3s);
    if changed != pipe {
        next.leads_to = LeadsTo::Pipe(changed);
    }
}
