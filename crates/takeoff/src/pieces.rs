//! Pipe by size, wall and kind: the pieces of every line, measured along the slope.

use design::{Design, LineDesign};
use plan::{Goods, Line, LineId, Plan};

/// Places this near are one, metres.
const SAME_M: f64 = 1e-6;
/// Sizes this near are one, metres.
pub(crate) const SAME_SIZE_M: f64 = 1e-4;

/// A part of a line in pipe of one kind, without a joint in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Which line it is of.
    pub line: LineId,
    /// Lower station, metres.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Its length along the slope, metres.
    pub length_m: f64,
}

/// All pipe of one kind and size.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeUse {
    /// Its kind.
    pub goods: Goods,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Its pieces by line and station.
    pub pieces: Vec<Piece>,
}

impl PipeUse {
    /// Length of all pieces, metres.
    pub fn length_m(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.length_m).sum()
    }
}

/// Pipe of all new lines: perforated, solid, heavy, outlet sticks, each by rising size.
pub fn pipe(plan: &Plan, design: &Design) -> Vec<PipeUse> {
    let mut uses: Vec<PipeUse> = Vec::new();
    for (id, line) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
        let Some(worked) = design.lines.get(id) else { continue };
        for (goods, piece) in pieces(*id, line, worked) {
            let is_same = |u: &&mut PipeUse| u.goods == goods && (u.size_m - worked.size_m).abs() < SAME_SIZE_M;
            match uses.iter_mut().find(is_same) {
                Some(known) => known.pieces.push(piece),
                None => uses.push(PipeUse { goods, size_m: worked.size_m, pieces: vec![piece] }),
            }
        }
    }
    uses.sort_by(|x, y| x.goods.cmp(&y.goods).then(x.size_m.total_cmp(&y.size_m)));
    uses
}

/// The parts of a line from its downstream end up.
pub fn pieces(id: LineId, line: &Line, worked: &LineDesign) -> Vec<(Goods, Piece)> {
    let outlet_m = worked.outlet_pipe_m.min(worked.length_m);
    let mut cuts = vec![0.0, outlet_m, worked.length_m];
    cuts.extend(line.stretches.iter().flat_map(|stretch| [stretch.from_m, stretch.to_m]));
    cuts.retain(|cut_m| (0.0..=worked.length_m).contains(cut_m));
    cuts.sort_by(f64::total_cmp);
    let mut found: Vec<(Goods, Piece)> = Vec::new();
    for pair in cuts.windows(2).filter(|pair| pair[1] > pair[0] + SAME_M) {
        let goods = kind_at(line, outlet_m, (pair[0] + pair[1]) / 2.0);
        match found.last_mut().filter(|(last, _)| *last == goods) {
            Some((_, last)) => last.to_m = pair[1],
            None => found.push((goods, Piece { line: id, from_m: pair[0], to_m: pair[1], length_m: 0.0 })),
        }
    }
    found.iter_mut().for_each(|(_, piece)| piece.length_m = slope_length_m(worked, piece.from_m, piece.to_m));
    found
}

fn kind_at(line: &Line, outlet_m: f64, station_m: f64) -> Goods {
    let laid = line.stretches.iter().find(|stretch| stretch.from_m <= station_m && station_m <= stretch.to_m);
    match laid {
        _ if station_m < outlet_m => Goods::OutletStick,
        Some(stretch) if stretch.heavy => Goods::Heavy,
        Some(stretch) if stretch.solid => Goods::Solid,
        _ => Goods::Perforated,
    }
}

/// Length of a part of a line along the slope of the pipe, metres; on the plan where levels are not known.
pub fn slope_length_m(worked: &LineDesign, from_m: f64, to_m: f64) -> f64 {
    let inner = worked.stations.iter().filter(|s| s.station_m > from_m && s.station_m < to_m).copied();
    let ends = [worked.at(from_m), worked.at(to_m)];
    let mut stations: Vec<_> = inner.chain(ends.into_iter().flatten()).collect();
    stations.sort_by(|x, y| x.station_m.total_cmp(&y.station_m));
    let piece = |pair: &[design::Station]| {
        let rise_m = pair[1].invert_m.zip(pair[0].invert_m).map_or(0.0, |(high, low)| high - low);
        (pair[1].station_m - pair[0].station_m).hypot(rise_m)
    };
    stations.windows(2).map(piece).sum()
}
