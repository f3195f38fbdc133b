//! Check 91, old clay as a main.

use plan::{LineKind, Material};

use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 91,
    slug: "old-tile-as-main",
    title: "Old clay as a main",
    manual: "New lines are led into an old line of clay or concrete, which so becomes their main. Cracked tile that held for \
             decades breaks under more water. Growers' experience. To decide, one for each old line.",
    source: "[AGTALK]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let fired = |kind: LineKind| matches!(kind, LineKind::OldTile(old) if matches!(old.material, Material::Clay | Material::Concrete));
    let mut found = Vec::new();
    for (id, line, _) in site.old_lines().filter(|(_, line, _)| fired(line.kind)) {
        let fed = site.joints.iter().filter(|joint| joint.main == id && !site.is_old(joint.branch));
        let places: Vec<_> =
            fed.map(|j| site.place(id, (j.station_m, j.station_m), j.station_m, site.name(j.branch))).collect();
        let Some(first) = places.first() else { continue };
        let what = if matches!(line.kind, LineKind::OldTile(old) if old.material == Material::Clay) {
            "clay"
        } else {
            "concrete"
        };
        let message = format!(
            "{} into old {what} {}. Old {what} is a poor main.",
            if places.len() == 1 { "A new line leads".into() } else { format!("{} new lines lead", places.len()) },
            line.name
        );
        let title = format!("Old {what} {} serves as a main", line.name);
        found.push(
            Finding::new(&RULE, Severity::Decide, first.at, title, message)
                .once_on(id, first.from_m, first.to_m)
                .gathers(places.clone())
                .advises("Draw a new main beside it, and join the new lines to that."),
        );
    }
    found
}

#[cfg(test)]
mod tests {
    use plan::{Joins, OldTile};

    use super::*;
    use crate::job::{Job, LATERAL};

    #[test]
    fn a_new_lateral_into_clay() {
        let mut job = Job::new();
        let tile = |material| LineKind::OldTile(OldTile { material, ..OldTile::default() });
        let t1 = job.line("T1", tile(Material::Plastic), &[(0.0, 0.0), (300.0, 0.0)], Joins::Nothing);
        job.line("L1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(t1));
        assert!(job.found(&RULE).is_empty());
        job.change(t1, |line| line.kind = tile(Material::Clay));
        assert!(job.only(&RULE).message.starts_with("A new line leads into old clay T1."));
    }
}
