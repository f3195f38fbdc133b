//! The trellis crew's sheet: where a row, post, anchor or ripper meets a pipe, by row and distance along it.

use record::{Meeting, meetings};

use crate::book::Making;
use crate::flow::{Column, Flow};
use crate::page::{Align, Page};

impl Making<'_> {
    /// The sheet, and what it runs on to; none where no row meets a pipe.
    pub(crate) fn trellis(&self) -> Vec<Page> {
        let meetings = meetings(self.work.plan, self.work.design);
        if meetings.is_empty() {
            return Vec::new();
        }
        let mut flow = Flow::new(self, self.work.paper.standing_mm(), "For the trellis crew");
        flow.paragraph(&self.how_to_count(&meetings), 9.5, false);
        let columns: [Column; 8] = [
            ("Block", 0.10, Align::Left),
            ("Row", 0.07, Align::Right),
            ("Along the row", 0.16, Align::Right),
            ("Line", 0.09, Align::Left),
            ("Station", 0.09, Align::Left),
            ("Pipe's top down", 0.12, Align::Right),
            ("How they meet", 0.19, Align::Left),
            ("Too near", 0.18, Align::Left),
        ];
        flow.table(&columns, &meetings.iter().map(|meeting| self.meeting_row(meeting)).collect::<Vec<_>>(), 8.5);
        flow.finish()
    }

    fn how_to_count(&self, meetings: &[Meeting]) -> String {
        let units = self.work.plan.title.units;
        let clear = units.depth(self.work.plan.criteria.post_below_m);
        let reach = meetings.first().map(|meeting| meeting.reach).unwrap_or_default();
        let depths: Vec<String> = reach.each().map(|(what, m)| format!("{what} {}", units.depth(m))).collect();
        let told = match depths.is_empty() {
            true => "no depth of post, anchor or ripper is entered".into(),
            false => format!("{} down", depths.join(", ")),
        };
        format!(
            "Rows are counted from 1 across each block, to the right of who looks along the rows, and distances from where a row \
             enters the block. In the first block: {told}. Too near is what reaches to {clear} over the top of the pipe or deeper. \
             Set no post, screw no anchor and rip no ground there before the pipe is dug free by hand or the place is moved."
        )
    }

    fn meeting_row(&self, meeting: &Meeting) -> Vec<String> {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let places = if units.is_metric() { 2 } else { 1 };
        let (from_m, to_m) = meeting.along_m;
        let along = match to_m - from_m > 0.05 {
            true => format!("{} to {} {}", units.number(from_m, places), units.number(to_m, places), units.sign()),
            false => format!("{} {}", units.number(from_m, places), units.sign()),
        };
        let near = meeting.reached_by(plan.criteria.post_below_m);
        let near = match (meeting.top_m, near.is_empty()) {
            (None, _) => "level not known".into(),
            (Some(_), true) => "clear".into(),
            (Some(_), false) => near.join(", ").to_uppercase(),
        };
        vec![
            meeting.block.clone(),
            meeting.row.to_string(),
            along,
            plan.lines.get(&meeting.line).map_or(String::new(), |line| line.name.clone()),
            self.station(meeting.station_m),
            meeting.top_m.map_or("–".into(), |top_m| units.depth(top_m)),
            meeting.meets.words().into(),
            near,
        ]
    }
}
