//! The card of a mark on the land, and the list of marks on the Ground card.

use egui::{ComboBox, RichText, Ui};
use measure::Units;
use plan::{Bound, Exposed, LandmarkId, LandmarkKind, MarkField, MarkValue, SoilLayer, Texture};

use super::{known_field, length_field, listed, name_of, places, table, text_field, title};
use crate::command::{Command, ToolKind};
use crate::theme::{bold, plain};
use crate::view::{DrawnAs, Selection, View};
use crate::wish::Wish;
use job::Session;

/// Shows the card.
pub fn card(ui: &mut Ui, session: &Session, id: LandmarkId, wishes: &mut Vec<Wish>) {
    let plan = &session.worked().plan;
    let mark = &plan.landmarks[&id];
    let mut next = mark.clone();
    title(ui, format!("{}   {}", mark.name, mark.kind.word()));
    table(ui, "landmark", |ui| {
        if let Some(name) = text_field(ui, "Name", mark.name.clone(), name_of) {
            next.name = name;
        }
        for one in mark.kind.row().fields {
            field(ui, one, &mark.kind, &mut next.kind, plan.title.units);
        }
        if let Some(note) = text_field(ui, "Note", mark.note.clone(), any_text) {
            next.note = note;
        }
    });
    mark.kind.row().fields.iter().for_each(|field| tick(ui, field, &mut next.kind));
    if next != *mark {
        wishes.push(Wish::Edit(plan::set_landmark(id, next)));
    }
    places::of_mark(ui, session, id, wishes);
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

/// A field of the kind's row, as far as it stands in the table.
fn field(ui: &mut Ui, field: &MarkField, now: &LandmarkKind, next: &mut LandmarkKind, units: Units) -> Option<()> {
    let label = field.label;
    match &field.value {
        MarkValue::Length(_, member) => member.set(next, length_field(ui, label, *member.get(now)?, units)?),
        MarkValue::KnownLength(_, member) => member.set(next, known_field(ui, label, *member.get(now)?, units)?),
        MarkValue::Direction(bound, member) => {
            let shown = format!("{:.1}", member.get(now)?);
            member.set(next, text_field(ui, label, shown, |text| direction(text, bound))?);
        }
        MarkValue::KnownNumber(_, member) => {
            let shown = member.get(now)?.map(|number| number.to_string()).unwrap_or_default();
            member.set(next, text_field(ui, label, shown, number)?);
        }
        MarkValue::Text(member) => member.set(next, text_field(ui, label, member.get(now)?.clone(), any_text)?),
        MarkValue::Day(member) => {
            member.set(next, text_field(ui, label, member.get(now)?.clone().unwrap_or_default(), day)?);
        }
        MarkValue::Choice(choice) => {
            let mut chosen = (choice.get)(now)?;
            let words: Vec<_> = (choice.words)().into_iter().enumerate().collect();
            listed(ui, label, &mut chosen, &words);
            (choice.set)(next, chosen);
        }
        MarkValue::Layers(member) => layers(ui, label, member.get(now)?, member.get_mut(next)?, units),
        MarkValue::Exposed(member) => {
            exposed(ui, label, member.get(now)?.as_ref(), member.get_mut(next)?, units);
        }
        MarkValue::YesNo(_) => {}
    }
    Some(())
}

/// A direction in degrees from north.
fn direction(text: &str, bound: &Bound) -> Result<f64, String> {
    let deg = text.trim().trim_end_matches('°').parse::<f64>().ok();
    deg.filter(|deg| bound.holds(*deg)).ok_or_else(|| format!("degrees from {} to {}", bound.least, bound.most))
}

/// A field that is yes or no; they stand below the table.
fn tick(ui: &mut Ui, field: &MarkField, kind: &mut LandmarkKind) {
    if let MarkValue::YesNo(member) = &field.value
        && let Some(is_so) = member.get_mut(kind)
    {
        ui.checkbox(is_so, field.label);
    }
}

/// Who dug a utility free by hand, when, and where its top and underside were found; all four or none.
fn exposed(ui: &mut Ui, label: &str, now: Option<&Exposed>, next: &mut Option<Exposed>, units: Units) {
    let shown = now.map_or(String::new(), |exposed| {
        let level = |level_m: f64| units.level(level_m);
        format!("{} to {}, {}, {}", level(exposed.top_m), level(exposed.bottom_m), exposed.on, exposed.by)
    });
    // The field is too narrow to show all of it.
    let whole = match now {
        Some(_) => shown.clone(),
        None => "top to underside, day, who: 98.40 to 98.05, 2031-04-02, R. Sund".into(),
    };
    if let Some(read) = text_field(ui, label, shown, |text| read_exposed(text, units)) {
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

/// The layers of a pit, and a field for one more.
fn layers(ui: &mut Ui, label: &str, now: &[SoilLayer], next: &mut Vec<SoilLayer>, units: Units) {
    for (i, layer) in now.iter().enumerate() {
        let name = format!("{label} {} down to", i + 1);
        match text_field(ui, &name, layer_words(layer, units), |text| read_layer(text, units)) {
            Some(Some(read)) => next[i] = read,
            Some(None) => drop(next.remove(i)),
            None => {}
        }
    }
    let name = format!("Add a {} down to", label.to_lowercase());
    if let Some(Some(layer)) = text_field(ui, &name, String::new(), |text| read_layer(text, units)) {
        next.push(layer);
        next.sort_by(|a, b| a.to_m.total_cmp(&b.to_m));
    }
}

/// What may stand in a layer's field.
const A_LAYER: &str = "a depth and a texture, then what was tested: 3 ft, clay loam, K 0.7 ft/day, sand 30 %, clay 35 %, \
                       organic 2 %, drains 5 %";

/// A layer as typed: "3 ft, silt loam"; an empty field takes it away.
fn read_layer(text: &str, units: Units) -> Result<Option<SoilLayer>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let mut parts = text.split(',').map(str::trim);
    let (depth, word) = parts.next().zip(parts.next()).ok_or(A_LAYER)?;
    let to_m = measure::parse_length(depth, units).map_err(|error| error.to_string())?;
    let texture = Texture::named(word);
    let texture = texture.ok_or_else(|| format!("'{word}' is no texture; try silt loam, clay loam, sand"))?;
    let mut layer = SoilLayer::of(to_m, texture);
    parts.try_for_each(|part| tested(&mut layer, part, units))?;
    Ok(Some(layer))
}

/// Something that was tested of a layer: "K 0.7 ft/day", "sand 30 %".
fn tested(layer: &mut SoilLayer, part: &str, units: Units) -> Result<(), String> {
    let (what, figure) = part.split_once(' ').ok_or(A_LAYER)?;
    let share = || {
        let percent = figure.trim_end_matches('%').trim().parse::<f64>().ok();
        percent.filter(|percent| (0.0..=100.0).contains(percent)).map(|percent| percent / 100.0)
    };
    let member = match what.to_lowercase().as_str() {
        "k" => {
            let read = measure::parse_conductivity(figure, units).map_err(|error| error.to_string())?;
            layer.conductivity_ms = Some(read);
            return Ok(());
        }
        "sand" => &mut layer.sand,
        "clay" => &mut layer.clay,
        "organic" => &mut layer.organic,
        "drains" => &mut layer.porosity,
        _ => return Err(A_LAYER.into()),
    };
    *member = Some(share().ok_or_else(|| format!("'{figure}' is no percent from 0 to 100"))?);
    Ok(())
}

/// A layer in words, as [`read_layer`] reads it.
fn layer_words(layer: &SoilLayer, units: Units) -> String {
    let depth = format!("{} {}", units.level(layer.to_m), units.sign());
    let rate = layer.conductivity_ms.map(|rate_ms| format!("K {}", units.conductivity(rate_ms)));
    let shares = [("sand", layer.sand), ("clay", layer.clay), ("organic", layer.organic), ("drains", layer.porosity)];
    let share =
        |(what, share): (&str, Option<f64>)| Some(format!("{what} {} %", measure::trimmed(share? * 100.0, 0, 2)));
    let told = [depth, layer.texture.word().to_string()].into_iter().chain(rate);
    told.chain(shares.into_iter().filter_map(share)).collect::<Vec<_>>().join(", ")
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
    for (id, mark) in &session.worked().plan.landmarks {
        let text = RichText::new(format!("{}   {}", mark.name, mark.word())).font(bold(13.0));
        if ui.add(egui::Button::new(text).frame(false)).on_hover_text("Choose it").clicked() {
            wishes.push(Wish::Select(Selection::of(*id)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a field shows it reads back, in both units, to the figures it shows.
    #[test]
    fn a_layer_is_read_as_it_is_shown() {
        let text = "3 ft, Clay Loam, K 0.694 ft/day, sand 30 %, clay 35, organic 2.5 %, drains 5 %";
        let layer = read_layer(text, Units::Feet).unwrap().unwrap();
        assert!((layer.conductivity_ms.unwrap() * 86_400.0 / measure::FOOT_M - 0.694).abs() < 1e-12);
        assert_eq!(
            (layer.sand, layer.clay, layer.organic, layer.porosity),
            (Some(0.3), Some(0.35), Some(0.025), Some(0.05))
        );
        for units in [Units::Feet, Units::Metric] {
            let shown = layer_words(&layer, units);
            let again = read_layer(&shown, units).unwrap().unwrap();
            assert_eq!(layer_words(&again, units), shown);
        }
        assert_eq!(layer_words(&SoilLayer::of(0.9, Texture::Silt), Units::Metric), "0.90 m, silt");
        for text in [
            "3 ft",
            "3 ft, mud",
            "3 ft, loam, wet",
            "3 ft, loam, sand 120 %",
            "3 ft, loam, K fast",
            "3 ft, loam, pH 7",
        ] {
            assert!(read_layer(text, Units::Feet).is_err(), "{text}");
        }
        assert_eq!(read_layer(" ", Units::Feet), Ok(None));
    }

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
