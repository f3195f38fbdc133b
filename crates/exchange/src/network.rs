//! A plan as pipes between places where something changes: ends, outlets, joints, structures, bends, changes of grade or size.

use std::collections::BTreeMap;

use design::{Design, LineDesign, PipeKind};
use measure::{Point, Units};
use plan::{Joins, Line, LineId, LineKind, Plan, StructureKind};

/// Places on a line nearer than this are one, metres.
const SAME_M: f64 = 0.01;

/// What is at a node.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NodeKind {
    /// Water leaves the field.
    Outlet,
    /// Surface water enters.
    Inlet,
    /// A joint, an end, a bend, a change of grade or size, a box.
    Connection,
}

/// A place where pipes begin and end.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Its name: "O1", "M1 1+50".
    pub name: String,
    /// Where it is.
    pub at: Point,
    /// What is there.
    pub kind: NodeKind,
    /// Level of an invert, whether water comes in through that pipe, and its name.
    pub inverts: Vec<(f64, bool, String)>,
}

/// A pipe of one size and one grade.
#[derive(Debug, Clone, PartialEq)]
pub struct NetPipe {
    /// Its name: "M1 0+00 to 1+50".
    pub name: String,
    /// Name of the node at its upper end.
    pub upper: String,
    /// Name of the node at its lower end.
    pub lower: String,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Length on the plan, metres.
    pub length_m: f64,
    /// What it is, in words: "lateral, perforated", "old tile, clay".
    pub words: String,
}

/// Pipes and the places between them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    /// The places, in the order of lines.
    pub nodes: Vec<Node>,
    /// The pipes, in the order of lines, each line from its lower end up.
    pub pipes: Vec<NetPipe>,
}

impl Network {
    /// Of a plan as it is worked out.
    pub fn of(plan: &Plan, design: &Design) -> Self {
        let mut making =
            Making { plan, design, units: plan.title.units, network: Self::default(), of_line: BTreeMap::new() };
        for (id, line) in &plan.lines {
            if let Some(worked) = design.lines.get(id) {
                making.nodes(*id, line, worked);
            }
        }
        for (id, line) in &plan.lines {
            if let Some(worked) = design.lines.get(id) {
                making.pipes(*id, line, worked);
            }
        }
        making.network
    }
}

struct Making<'a> {
    plan: &'a Plan,
    design: &'a Design,
    units: Units,
    network: Network,
    /// The nodes of each line: station, metres, and index; `None` at a lower end whose node is that of the line it joins.
    of_line: BTreeMap<LineId, Vec<(f64, Option<usize>)>>,
}

impl Making<'_> {
    /// Stations of a line at which a pipe ends.
    fn stations(&self, id: LineId, line: &Line, worked: &LineDesign) -> Vec<f64> {
        let bends = worked.stations.iter().filter(|station| station.mark.bend).map(|station| station.station_m);
        let joints = self.design.joints.iter().filter(|joint| joint.main == id).map(|joint| joint.station_m);
        let mut all: Vec<f64> = [0.0, worked.length_m].into_iter().chain(bends).chain(joints).collect();
        all.extend(worked.breaks().map(|change| change.station_m));
        all.extend(worked.pipe.iter().map(|pipe| pipe.from_m));
        all.extend(line.structures.iter().map(|structure| structure.station_m));
        all.iter_mut().for_each(|station_m| *station_m = station_m.clamp(0.0, worked.length_m));
        all.sort_by(f64::total_cmp);
        all.dedup_by(|later, before| *later - *before < SAME_M);
        all
    }

    /// Makes the nodes of a line; its lower end is a node of its own only where it joins no other line.
    fn nodes(&mut self, id: LineId, line: &Line, worked: &LineDesign) {
        let joins_line = self.design.joints.iter().any(|joint| joint.branch == id);
        let mut own = Vec::new();
        for (i, station_m) in self.stations(id, line, worked).into_iter().enumerate() {
            let outlet = match line.joins {
                Joins::Outlet(outlet) if i == 0 => self.plan.outlets.get(&outlet),
                _ => None,
            };
            if i == 0 && joins_line {
                own.push((station_m, None));
                continue;
            }
            let is_inlet = |structure: &plan::Structure| {
                let takes = matches!(structure.kind, StructureKind::BlindInlet(_) | StructureKind::OpenInlet(_));
                takes && (structure.station_m - station_m).abs() < SAME_M
            };
            let kind = match outlet {
                Some(_) => NodeKind::Outlet,
                None if line.structures.iter().any(is_inlet) => NodeKind::Inlet,
                None => NodeKind::Connection,
            };
            let name = match outlet {
                Some(outlet) if self.network.nodes.iter().all(|node| node.name != outlet.name) => outlet.name.clone(),
                _ => format!("{} {}", line.name, self.units.said_station(station_m).text),
            };
            let at = worked.at(station_m).map_or(Point::new(0.0, 0.0), |station| station.at);
            own.push((station_m, Some(self.network.nodes.len())));
            self.network.nodes.push(Node { name, at, kind, inverts: Vec::new() });
        }
        self.of_line.insert(id, own);
    }

    /// The node at the lower end of a line: its own, or that of the line it joins.
    fn lowest(&self, id: LineId) -> Option<usize> {
        if let (_, Some(own)) = self.of_line.get(&id)?.first()? {
            return Some(*own);
        }
        let joint = self.design.joints.iter().find(|joint| joint.branch == id)?;
        let of_main = self.of_line.get(&joint.main)?.iter();
        let near = of_main.filter_map(|(station_m, node)| Some((*station_m, (*node)?)));
        near.min_by(|a, b| (a.0 - joint.station_m).abs().total_cmp(&(b.0 - joint.station_m).abs())).map(|near| near.1)
    }

    fn pipes(&mut self, id: LineId, line: &Line, worked: &LineDesign) {
        let (Some(own), Some(lowest)) = (self.of_line.get(&id).cloned(), self.lowest(id)) else { return };
        for pair in own.windows(2) {
            let [(from_m, lower), (to_m, upper)] = [pair[0], pair[1]];
            let (lower, Some(upper)) = (lower.unwrap_or(lowest), upper) else { continue };
            let pipe = worked.pipe_above(from_m);
            let [from, to] = [from_m, to_m].map(|station_m| self.units.said_station(station_m).text);
            let name = format!("{} {from} to {to}", line.name);
            let levels = [
                (upper, worked.at(to_m).and_then(|station| station.invert_m), false),
                (lower, worked.at(from_m).and_then(|station| station.invert_above_m()), true),
            ];
            for (node, level_m, comes_in) in levels {
                let invert = level_m.map(|level_m| (level_m, comes_in, name.clone()));
                self.network.nodes[node].inverts.extend(invert);
            }
            let [upper, lower] = [upper, lower].map(|node| self.network.nodes[node].name.clone());
            let (size_m, length_m, words) = (pipe.size_m, to_m - from_m, words(line, pipe.kind));
            self.network.pipes.push(NetPipe { name, upper, lower, size_m, length_m, words });
        }
    }
}

fn words(line: &Line, kind: PipeKind) -> String {
    let of = match (line.kind, kind) {
        (LineKind::OldTile(old), _) => old.material.word(),
        (_, PipeKind::Perforated) => "perforated",
        (_, PipeKind::Solid) => "solid",
        (_, PipeKind::Heavy) => "solid, heavy wall",
        (_, PipeKind::OutletStick) => "rigid outlet pipe",
    };
    format!("{}, {of}", line.kind.word())
}
