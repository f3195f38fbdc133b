//! Check 30, outlet pipe not solid and rigid.

use plan::Outlet;

use super::outlet_pipe_short::wanted_m;
use super::outlets::open;
use crate::offer::Offer;
use crate::{Finding, Rule, Severity, Site};

/// See [`Rule::manual`].
pub const RULE: Rule = Rule {
    number: 30,
    slug: "outlet-pipe-soft",
    title: "Outlet pipe type",
    manual: "The last pipe at an open outlet is not solid and rigid. Perforated plastic lets roots in, the bank wash out \
             beneath it, ice and ditch cleaners break it. Construction specifications. To fix before digging.",
    source: "[444] [ISU-bid]",
    find,
};

fn find(site: &Site) -> Vec<Finding> {
    let soft = |led: &super::outlets::Led| !led.outlet.rigid || led.outlet.outlet_pipe_m <= 0.0;
    let finding = |led: super::outlets::Led| {
        let name = &led.outlet.name;
        let length_m = wanted_m(led.worked.pipe_at(0.0).size_m);
        let message = format!("The last pipe at {name} is not solid and rigid.");
        let (id, length_m) = (led.id, length_m.max(led.outlet.outlet_pipe_m));
        led.finding(&RULE, Severity::Block, format!("{name} ends in soft pipe"), message).offers(move |site| {
            let said = site.units().said_length_up(length_m);
            let label = format!("Make the last {} at {} solid and rigid", said.text, site.outlet_name(id));
            let rigid = |outlet: &mut Outlet| (outlet.rigid, outlet.outlet_pipe_m) = (true, said.value);
            Offer::outlet(site, id, label, rigid).into_iter().collect()
        })
    };
    open(site).into_iter().filter(soft).map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn a_soft_end() {
        let mut job = Job::new();
        let m1 = job.main(200.0);
        assert!(job.found(&RULE).is_empty());
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.rigid = false);
        let finding = job.only(&RULE);
        assert_eq!(finding.message, "The last pipe at O1 is not solid and rigid.");
        assert!(job.mended(&finding).found(&RULE).is_empty());
    }
}
