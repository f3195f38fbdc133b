//! Check 132, acid or sulfate soil with concrete.

use plan::{Change, Edit, Line, LineKind, Material, Outlet};

use super::outlets::led;
use crate::offer::Offer;
use crate::{Finding, Place, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 132,
    slug: "acid-soil",
    title: "Acid soil with concrete or metal",
    manual: "A pit shows a pH under 5.5, and an old line of concrete or metal is kept and joined, or new pipe or the last \
             pipe at an outlet is entered as concrete or metal: acid eats both. Plastic and clay are safe; where no \
             material is entered nothing is said. From memory. A note, one for the plan.",
    source: "[memory]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let acids = site.plan.landmarks.values().filter_map(|mark| mark.kind.pit()?.ph);
    let Some(ph) = acids.reduce(f64::min).filter(|ph| *ph < site.plan.criteria.acid_ph) else { return Vec::new() };
    let eaten: Vec<(Place, String)> = old(site).into_iter().chain(new(site)).chain(last(site)).collect();
    let Some((first, what)) = eaten.first() else { return Vec::new() };
    let others = match eaten.len() {
        1 => String::new(),
        2 => ", and one other,".to_string(),
        count => format!(", and {} others,", count - 1),
    };
    let message = format!("The {what}{others} can corrode at pH {ph:.1}.");
    let at = first.at;
    let places = eaten.into_iter().map(|(place, _)| place).collect();
    let title = "Concrete or metal in acid soil".to_string();
    vec![
        Finding::new(&RULE, Severity::Note, at, title, message)
            .gathers(places)
            .offers(|site| plastic(site).into_iter().collect())
            .advises("Where it is old tile, draw new plastic pipe in its place."),
    ]
}

/// Offers plastic for the new lines and outlet pipes.
fn plastic<'s>(site: &'s Site) -> Option<Offer<'s>> {
    let lines = site.plan.lines.iter().filter(|(_, line)| !line.kind.is_old() && is_eaten(line.bed.material));
    let lines = lines.map(|(id, line)| {
        let bed = plan::Bed { material: Material::Plastic, ..line.bed };
        Change::Line(*id, Some(Line { bed, ..line.clone() }))
    });
    let outlets = site.plan.outlets.iter().filter(|(_, outlet)| is_eaten(outlet.outlet_pipe_material));
    let outlets = outlets.map(|(id, outlet)| {
        Change::Outlet(*id, Some(Outlet { outlet_pipe_material: Material::Plastic, ..outlet.clone() }))
    });
    let changes: Vec<Change> = lines.chain(outlets).collect();
    (!changes.is_empty()).then(|| Offer::One(Edit { label: "Use plastic for the new pipe".into(), changes }))
}

fn is_eaten(material: Material) -> bool {
    matches!(material, Material::Concrete | Material::Metal)
}

/// Old lines that are kept and joined to new pipe.
fn old(site: &Site) -> Vec<(Place, String)> {
    let of_line = |(id, line, _): (_, &plan::Line, _)| {
        let LineKind::OldTile(old) = line.kind else { return None };
        let joint = site.joints.iter().find(|joint| {
            let other = if joint.branch == id { joint.main } else { joint.branch };
            [joint.branch, joint.main].contains(&id) && !site.is_old(other)
        });
        let word = old.material.word();
        let place = Place { at: joint?.at, ..site.place(id, (0.0, 0.0), 0.0, word) };
        is_eaten(old.material).then(|| (place, format!("{word} of {}", line.name)))
    };
    site.old_lines().filter_map(of_line).collect()
}

fn new(site: &Site) -> Vec<(Place, String)> {
    let eaten = site.new_lines().filter(|(_, line, _)| is_eaten(line.bed.material));
    let of_line = |(id, line, worked): (_, &plan::Line, &design::LineDesign)| {
        let word = line.bed.material.word();
        (site.place(id, (0.0, worked.length_m), 0.0, word), format!("{word} of {}", line.name))
    };
    eaten.map(of_line).collect()
}

/// The last pipe at outlets.
fn last(site: &Site) -> Vec<(Place, String)> {
    let eaten = led(site).into_iter().filter(|led| is_eaten(led.outlet.outlet_pipe_material));
    let of_outlet = |led: super::outlets::Led| {
        let word = led.outlet.outlet_pipe_material.word();
        let what = format!("outlet pipe, {word}");
        (
            site.place(led.line_id, (0.0, led.worked.outlet_pipe_m), 0.0, &what),
            format!("{word} of {}", led.outlet.name),
        )
    };
    eaten.filter(|led| led.worked.outlet_pipe_m > 0.0).map(of_outlet).collect()
}

#[cfg(test)]
mod tests {
    use plan::{Joins, LandmarkKind, OldTile, Pit};

    use super::*;
    use crate::job::{Job, at};

    #[test]
    fn concrete_at_five() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        let old = LineKind::OldTile(OldTile { material: Material::Concrete, ..OldTile::default() });
        job.line("T1", old, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(m1));
        let pit = |ph| LandmarkKind::Pit(Pit { ph: Some(ph), ..Pit::default() });
        let mark = job.mark("P1", pit(6.0), at(50.0, 50.0));
        assert!(job.found(&RULE).is_empty());
        job.remark(mark, pit(5.0));
        assert_eq!(job.only(&RULE).message, "The concrete of T1 can corrode at pH 5.0.");
    }

    /// A main of concrete with a last pipe of steel; of plastic, or of nothing entered, nothing is said.
    #[test]
    fn new_pipe_of_concrete_and_metal() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.mark("P1", LandmarkKind::Pit(Pit { ph: Some(5.0), ..Pit::default() }), at(50.0, 50.0));
        assert!(job.found(&RULE).is_empty());
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.outlet_pipe_material = Material::Metal);
        assert_eq!(job.only(&RULE).message, "The metal of O1 can corrode at pH 5.0.");
        job.change(m1, |line| line.bed.material = Material::Concrete);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "The concrete of M1, and one other, can corrode at pH 5.0.");
        let places: Vec<&str> = finding.places.iter().map(|place| place.text.as_str()).collect();
        assert_eq!(places, ["M1 from 0+00 to 3+00, concrete", "M1 from 0+00 to 0+20, outlet pipe, metal"]);
        job.change(m1, |line| line.bed.material = Material::Plastic);
        job.change_outlet(outlet, |outlet| outlet.outlet_pipe_material = Material::Unknown);
        assert!(job.found(&RULE).is_empty());
    }
}
