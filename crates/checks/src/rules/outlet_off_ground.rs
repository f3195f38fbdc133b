//! Check 138, an outlet where no ground is known.

use plan::{Outlet, OutletId};

use super::elsewhere;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 138,
    slug: "outlet-off-ground",
    title: "Outlet off the ground",
    manual: "An outlet under which no ground is known: it lies off the ground of the plan, or in a hole of it. Every level hangs \
             from it, and whether it comes out of the bank, and how deep its line begins, cannot be told. Most often the ground \
             was replaced by another, or the outlet was typed in another system. Where its own line lies over unknown ground \
             there, that is told instead. To fix before digging.",
    source: "[judgement]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let Some(ground) = site.land.ground.as_deref().filter(|_| !elsewhere::is_off(site)) else { return Vec::new() };
    let off = site.plan.outlets.iter().filter(|(_, outlet)| ground.elevation(outlet.at).is_none());
    off.filter(|(id, _)| !is_told(site, **id)).map(|(id, outlet)| finding(*id, outlet)).collect()
}

/// True where a new line that ends there is found to lie over unknown ground.
fn is_told(site: &Site, id: OutletId) -> bool {
    let mut lines = site.new_lines().filter(|(_, line, _)| line.joins == plan::Joins::Outlet(id));
    lines.any(|(_, _, worked)| worked.unknown_ground().iter().any(|(from_m, _)| *from_m <= 0.0))
}

fn finding(id: OutletId, outlet: &Outlet) -> Finding {
    let message = format!("{} lies where no ground is known.", outlet.name);
    let title = format!("{} lies off the ground", outlet.name);
    Finding::new(&RULE, Severity::Block, outlet.at, title, message)
        .of_outlet(id)
        .amount("off the ground".into())
        .advises("Bring in ground that reaches so far, or move the outlet to where it comes out.")
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use land::Land;
    use measure::FOOT_M;
    use terrain::{Grid, Ground};

    use super::*;
    use crate::job::Job;

    /// Level ground from −50 to 350 ft either way.
    fn ground() -> Land {
        let size_m = 400.0 * FOOT_M / 40.0;
        let corner = (-50.0 * FOOT_M, 350.0 * FOOT_M);
        let grid = Grid::new((40, 40), corner, (size_m, size_m), vec![31.5; 1600]).unwrap();
        Land { ground: Some(Arc::new(Ground::from_grid(grid))), is_awaited: true, ..Land::default() }
    }

    fn found(job: &Job) -> Vec<Finding> {
        let land = ground();
        let design = design::work_out(&job.plan, &land);
        (RULE.find)(&Site::new(&job.plan, &design, &land))
    }

    /// O1 stands on the ground with its line; O2 far beyond it; O3 too, but its line tells that.
    #[test]
    fn an_outlet_beyond_the_ground_blocks() {
        let mut job = Job::new();
        job.main(300.0);
        assert!(found(&job).is_empty());
        job.outlet("O2", (5000.0, 0.0), 100.0);
        let all = found(&job);
        assert_eq!(all.len(), 1);
        assert!(all[0].blocks());
        assert_eq!(all[0].message, "O2 lies where no ground is known.");
        let o3 = job.outlet("O3", (-90.0, 50.0), 100.0);
        assert_eq!(found(&job).len(), 2);
        job.line("M2", crate::job::MAIN, &[(-90.0, 50.0), (200.0, 50.0)], o3);
        assert_eq!(found(&job).len(), 1);
    }
}
