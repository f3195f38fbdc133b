//! The card of a mark on the land, and the list of marks on the Ground card.

use egui::{ComboBox, RichText, Ui};
use measure::Units;
use plan::{Carries, Cause, Exposed, Landmark, LandmarkId, LandmarkKind, Pit, Rows, SoilLayer, Texture, Utility};

use super::{known_field, length_field, listed, name_of, table, text_field, title};
use crate::command::{Command, ToolKind};
use crate::theme::{bold, plain};
use crate::view::{DrawnAs, Selection, View};
use crate::wish::Wish;
use job::Session;

/// Shows the card.
pub fn card(ui: &mut Ui, session: &Session, id: LandmarkId, wishes: &mut Vec<Wish>) {
    let plan = &session.derived().plan;
    let mark = &plan.landmarks[&id];
    let mut next = mark.clone();
    title(ui, format!("{}   {}", mark.name, mark.kind.word()));
    table(ui, "landmark", |ui| {
        if let Some(name) = text_field(ui, "Name", mark.name.clone(), name_of) {
            next.name = name;
        }
        fields(ui, &mark.kind, &mut next, plan.title.units);
        if let Some(note) = text_field(ui, "Note", mark.note.clone(), any_text) {
            next.note = note;
        }
    });
    ticks(ui, &mut next.kind);
    if next != *mark {
        wishes.push(Wish::Edit(plan::set_landmark(id, next)));
    }
    if ui.button("Delete mark").clicked() {
        wishes.extend(plan::remove_landmark(session.plan(), id).map(Wish::Edit));
        wishes.push(Wish::Select(Selection::Nothing));
    }
}

fn any_text(text: &str) -> Result<String, String> {
    if text.len() > 500 { Err("at most 500 letters".into()) } else { Ok(text.trim().into()) }
}

fn day(text: &str) -> Result<Option<String>, String> {
    match text.trim() {
        "" => Ok(None),
        text if plan::is_date(text) => Ok(Some(text.into())),
        _ => Err("a day as YYYY-MM-DD".into()),
    }
}

fn number(text: &str) -> Result<Option<f64>, String> {
    match text.trim() {
        "" => Ok(None),
        text => text.parse().ok().filter(|n: &f64| n.is_finite()).map(Some).ok_or_else(|| "a number".to_string()),
    }
}

/// The few fields of each kind.
fn fields(ui: &mut Ui, kind: &LandmarkKind, next: &mut Landmark, units: Units) {
    match kind {
        LandmarkKind::Utility(now) => utility(ui, now, next, units),
        LandmarkKind::Rows(now) => rows(ui, now, next, units),
        LandmarkKind::Pit(now) => pit(ui, now, next, units),
        LandmarkKind::OverheadLine { kilovolts } => {
            let shown = kilovolts.map(|kv| kv.to_string()).unwrap_or_default();
            if let Some(kilovolts) = text_field(ui, "Kilovolts", shown, number) {
                next.kind = LandmarkKind::OverheadLine { kilovolts };
            }
        }
        LandmarkKind::Easement { holder } => {
            if let Some(holder) = text_field(ui, "Holder", holder.clone(), any_text) {
                next.kind = LandmarkKind::Easement { holder };
            }
        }
        LandmarkKind::Wetland { setback_m, determined } => {
            if let Some(setback_m) = known_field(ui, "Setback", *setback_m, units) {
                next.kind = LandmarkKind::Wetland { setback_m, determined: determined.clone() };
            }
            if let Some(determined) = text_field(ui, "Determined on", determined.clone().unwrap_or_default(), day) {
                next.kind = LandmarkKind::Wetland { setback_m: *setback_m, determined };
            }
        }
        LandmarkKind::Well { keep_off_m } => {
            if let Some(keep_off_m) = known_field(ui, "Distance by local rule", *keep_off_m, units) {
                next.kind = LandmarkKind::Well { keep_off_m };
            }
        }
        LandmarkKind::Septic { keep_off_m } => {
            if let Some(keep_off_m) = known_field(ui, "Distance by local rule", *keep_off_m, units) {
                next.kind = LandmarkKind::Septic { keep_off_m };
            }
        }
        LandmarkKind::Trees { species, thirsty } => {
            if let Some(species) = text_field(ui, "Species", species.clone(), any_text) {
                next.kind = LandmarkKind::Trees { species, thirsty: *thirsty };
            }
        }
        LandmarkKind::Road { width_m, public, permission } => {
            if let Some(width_m) = length_field(ui, "Width", *width_m, units) {
                next.kind = LandmarkKind::Road { width_m, public: *public, permission: *permission };
            }
        }
        LandmarkKind::Irrigation { depth_m, size_m } => {
            if let Some(depth_m) = known_field(ui, "Depth of its top", *depth_m, units) {
                next.kind = LandmarkKind::Irrigation { depth_m, size_m: *size_m };
            }
            if let Some(size_m) = known_field(ui, "Outside diameter", *size_m, units) {
                next.kind = LandmarkKind::Irrigation { depth_m: *depth_m, size_m };
            }
        }
        LandmarkKind::Footing { depth_m } => {
            if let Some(depth_m) = length_field(ui, "Depth of its underside", *depth_m, units) {
                next.kind = LandmarkKind::Footing { depth_m };
            }
        }
        LandmarkKind::SiteFlag { decision } => {
            if let Some(decision) = text_field(ui, "What was decided", decision.clone(), any_text) {
                next.kind = LandmarkKind::SiteFlag { decision };
            }
        }
        LandmarkKind::WetArea { cause, leave } => {
            let mut chosen = *cause;
            let known = Cause::ALL.map(|(cause, word)| (Some(cause), word));
            let words: Vec<_> = [(None, "not asked yet")].into_iter().chain(known).collect();
            listed(ui, "Why it is wet", &mut chosen, &words);
            next.kind = LandmarkKind::WetArea { cause: chosen, leave: *leave };
        }
        LandmarkKind::Hedge
        | LandmarkKind::Spring
        | LandmarkKind::Bank
        | LandmarkKind::Store
        | LandmarkKind::Neighbour { .. } => {}
    }
}

/// What is yes or no of a kind.
fn ticks(ui: &mut Ui, kind: &mut LandmarkKind) {
    match kind {
        LandmarkKind::Trees { thirsty, .. } => {
            ui.checkbox(thirsty, "A kind that seeks water (willow, poplar, elm, soft maple)");
        }
        LandmarkKind::Road { public, permission, .. } => {
            ui.checkbox(public, "Public road");
            ui.checkbox(permission, "The road authority agreed");
        }
        LandmarkKind::WetArea { leave, .. } => {
            ui.checkbox(leave, "Leave it as it is");
        }
        LandmarkKind::Neighbour { agreed } => {
            ui.checkbox(agreed, "The neighbour agreed");
        }
        LandmarkKind::Pit(pit) => {
            ui.checkbox(&mut pit.iron, "Iron seen");
        }
        _ => {}
    }
}

fn utility(ui: &mut Ui, now: &Utility, next: &mut Landmark, units: Units) {
    let mut changed = now.clone();
    listed(ui, "Carries", &mut changed.carries, &Carries::ALL);
    if let Some(depth_m) = known_field(ui, "Depth of its top", now.depth_m, units) {
        changed.depth_m = depth_m;
    }
    if let Some(size_m) = known_field(ui, "Outside diameter", now.size_m, units) {
        changed.size_m = size_m;
    }
    if let Some(clear_m) = known_field(ui, "Owner asks to clear", now.clear_m, units) {
        changed.clear_m = clear_m;
    }
    if let Some(ticket) = text_field(ui, "Locate ticket", now.ticket.clone(), any_text) {
        changed.ticket = ticket;
    }
    if let Some(until) = text_field(ui, "Ticket holds until", now.valid_until.clone().unwrap_or_default(), day) {
        changed.valid_until = until;
    }
    exposed(ui, now.exposed.as_ref(), &mut changed.exposed, units);
    next.kind = LandmarkKind::Utility(changed);
}

/// Who dug a utility free by hand, when, and where its top and underside were found; all four or none.
fn exposed(ui: &mut Ui, now: Option<&Exposed>, next: &mut Option<Exposed>, units: Units) {
    let shown = now.map_or(String::new(), |exposed| {
        let level = |level_m: f64| units.level(level_m);
        format!("{} to {}, {}, {}", level(exposed.top_m), level(exposed.bottom_m), exposed.on, exposed.by)
    });
    // The field is too narrow to show all of it.
    let whole = match now {
        Some(_) => shown.clone(),
        None => "top to underside, day, who: 98.40 to 98.05, 2031-04-02, R. Sund".into(),
    };
    if let Some(read) = text_field(ui, "Exposed by hand", shown, |text| read_exposed(text, units)) {
        *next = read;
    }
    ui.label("");
    ui.add(egui::Label::new(RichText::new(whole).font(plain(12.0))).wrap());
    ui.end_row();
}

fn read_exposed(text: &str, units: Units) -> Result<Option<Exposed>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let unread =
        || "levels of top and underside, the day and who saw it: 98.40 to 98.05, 2031-04-02, R. Sund".to_string();
    let mut parts = text.splitn(3, ',').map(str::trim);
    let (Some(levels), Some(on), Some(by)) = (parts.next(), parts.next(), parts.next()) else { return Err(unread()) };
    let (top, bottom) = levels.split_once(" to ").ok_or_else(unread)?;
    let level = |text: &str| measure::parse_length(text, units).map_err(|error| error.to_string());
    let (top_m, bottom_m) = (level(top)?, level(bottom)?);
    if bottom_m >= top_m {
        return Err("the underside lies below the top".into());
    }
    if !plan::is_date(on) || by.is_empty() {
        return Err(unread());
    }
    Ok(Some(Exposed { by: by.into(), on: on.into(), top_m, bottom_m }))
}

fn rows(ui: &mut Ui, now: &Rows, next: &mut Landmark, units: Units) {
    let mut changed = now.clone();
    let bearing = text_field(ui, "Direction from north", format!("{:.1}", now.bearing_deg), |text| {
        let deg = text.trim().trim_end_matches('°').parse::<f64>().ok();
        deg.filter(|deg| (0.0..=360.0).contains(deg)).ok_or_else(|| "degrees from 0 to 360".to_string())
    });
    changed.bearing_deg = bearing.unwrap_or(now.bearing_deg);
    changed.spacing_m = length_field(ui, "Row to row", now.spacing_m, units).unwrap_or(now.spacing_m);
    changed.post_depth_m = known_field(ui, "Posts go down", now.post_depth_m, units).unwrap_or(now.post_depth_m);
    changed.anchor_depth_m =
        known_field(ui, "Anchors go down", now.anchor_depth_m, units).unwrap_or(now.anchor_depth_m);
    next.kind = LandmarkKind::Rows(changed);
}

fn pit(ui: &mut Ui, now: &Pit, next: &mut Landmark, units: Units) {
    let mut changed = now.clone();
    for (i, layer) in now.layers.iter().enumerate() {
        let shown = format!("{} {}, {}", units.level(layer.to_m), units.sign(), layer.texture.word());
        let name = format!("Layer {} down to", i + 1);
        match text_field(ui, &name, shown, |text| read_layer(text, units)) {
            Some(Some(read)) => {
                changed.layers[i] = SoilLayer { clay: layer.clay, conductivity_ms: layer.conductivity_ms, ..read }
            }
            Some(None) => drop(changed.layers.remove(i)),
            None => {}
        }
    }
    if let Some(Some(layer)) = text_field(ui, "Add a layer down to", String::new(), |text| read_layer(text, units)) {
        changed.layers.push(layer);
        changed.layers.sort_by(|a, b| a.to_m.total_cmp(&b.to_m));
    }
    changed.mottles_m = known_field(ui, "Mottles from", now.mottles_m, units).unwrap_or(now.mottles_m);
    changed.tight_m = known_field(ui, "Tight layer from", now.tight_m, units).unwrap_or(now.tight_m);
    if let Some(ph) = text_field(ui, "pH", now.ph.map(|ph| ph.to_string()).unwrap_or_default(), number) {
        changed.ph = ph;
    }
    next.kind = LandmarkKind::Pit(changed);
}

/// A layer as typed: "3 ft, silt loam"; an empty field takes it away.
fn read_layer(text: &str, units: Units) -> Result<Option<SoilLayer>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let (depth, word) = text.split_once(',').ok_or("a depth and a texture: 3 ft, silt loam")?;
    let to_m = measure::parse_length(depth, units).map_err(|error| error.to_string())?;
    let word = word.trim().to_lowercase();
    let texture = Texture::ALL.into_iter().find(|(_, other)| *other == word).map(|(texture, _)| texture);
    let texture = texture.ok_or_else(|| format!("'{word}' is no texture; try silt loam, clay loam, sand"))?;
    Ok(Some(SoilLayer { to_m, texture, clay: None, conductivity_ms: None }))
}

/// The part of the Ground card about marks: choose a kind, draw it, read a file, go to one that is there.
pub fn list(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    ui.add_space(8.0);
    ui.separator();
    title(ui, "Marks on the land");
    ui.label(RichText::new("What a drain must heed: utilities, trees, lanes, wet places, pits.").font(plain(12.5)));
    let kinds = LandmarkKind::all();
    let chosen = view.marking.0.min(kinds.len() - 1);
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Mark a");
        let combo = ComboBox::from_id_salt("mark kind").selected_text(kinds[chosen].word()).show_ui(ui, |ui| {
            for (i, kind) in kinds.iter().enumerate() {
                if ui.selectable_label(i == chosen, kind.word()).clicked() {
                    view.marking = (i, DrawnAs::of(kind)[0]);
                }
            }
        });
        combo.response.labelled_by(label.id);
        let ways = DrawnAs::of(&kinds[chosen]);
        if !ways.contains(&view.marking.1) {
            view.marking.1 = ways[0];
        }
        if ways.len() > 1 {
            ui.label("as");
            ways.iter().for_each(|way| drop(ui.selectable_value(&mut view.marking.1, *way, way.word())));
        }
        if ui.button("Draw it").clicked() {
            wishes.push(Wish::Take(ToolKind::Mark(kinds[chosen].clone(), view.marking.1)));
        }
    });
    if ui
        .button("Read marks…")
        .on_hover_text("GeoJSON, KML or shapefile; property `what` says what each is")
        .clicked()
    {
        wishes.push(Wish::Run(Command::ReadMarks));
    }
    for (id, mark) in &session.derived().plan.landmarks {
        let text = RichText::new(format!("{}   {}", mark.name, mark.word())).font(bold(13.0));
        if ui.add(egui::Button::new(text).frame(false)).on_hover_text("Choose it").clicked() {
            wishes.push(Wish::Select(Selection::Landmark(*id)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_exposed_is_read() {
        let read =
            read_exposed(" 98.40 to 98.05, 2031-04-02, R. Sund, of the gas works ", Units::Feet).unwrap().unwrap();
        assert_eq!((read.on.as_str(), read.by.as_str()), ("2031-04-02", "R. Sund, of the gas works"));
        let unit_m = Units::Feet.length_unit().metres();
        assert!((read.top_m / unit_m - 98.4).abs() < 1e-9 && (read.bottom_m / unit_m - 98.05).abs() < 1e-9);
        assert_eq!(read_exposed("  ", Units::Feet), Ok(None));
        for text in [
            "98.4",
            "98.4 to 98.05",
            "98.05 to 98.40, 2031-04-02, R",
            "98.4 to 98, 2.4.2031, R",
            "98.4 to 98, 2031-04-02,",
        ] {
            assert!(read_exposed(text, Units::Feet).is_err(), "{text}");
        }
    }
}
