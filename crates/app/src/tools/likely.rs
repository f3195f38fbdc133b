//! The likely course of old tile: a click where it shows itself proposes a suspected line, to be seen before it is drawn.

use job::likely_words;
use plan::{Edit, ObjectId};
use record::Shown;

use super::{Hand, Sketch, Touch};
use crate::canvas::SnapKind;
use crate::command::ToolKind;
use crate::wish::Wish;

/// Nothing is kept: each click proposes another.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LikelyFrom;

impl LikelyFrom {
    /// Does what a touch asks.
    pub fn touch(&mut self, touch: Touch, hand: &Hand) -> Vec<Wish> {
        match touch {
            Touch::Click(at) => {
                let snap = hand.snap(at, |kind| matches!(kind, SnapKind::Object(ObjectId::Outlet(_))));
                let shown = if snap.kind.is_some() { Shown::Outlet } else { Shown::WetStreak };
                let plan = hand.session.plan();
                let all = record::likely(plan, hand.session.land(), snap.at, shown);
                let Some(first) = all.first() else { return vec![Wish::Say(likely_words::none(plan.title.units))] };
                let label = likely_words::label(first, &record::to_probe(plan, &all), plan);
                vec![Wish::See(Edit { label, ..record::draw_likely(plan, first, shown) })]
            }
            Touch::Escape => vec![Wish::Take(ToolKind::Select)],
            _ => Vec::new(),
        }
    }

    /// There is no preview.
    pub fn sketch(&self) -> Sketch {
        Sketch::default()
    }
}
