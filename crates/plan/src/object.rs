//! One identity for everything in a plan that has an id.

use crate::{Edit, LandmarkId, LineId, OutletId, Plan, WatercourseId};

/// A thing of the plan. Ids of all sorts come from one counter, [`Plan::next_id`], so that the number alone tells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ObjectId {
    /// An outlet.
    Outlet(OutletId),
    /// A line.
    Line(LineId),
    /// A ditch or culvert.
    Watercourse(WatercourseId),
    /// A mark on the land.
    Landmark(LandmarkId),
}

impl ObjectId {
    /// The number of its id.
    pub const fn number(self) -> u32 {
        match self {
            Self::Outlet(id) => id.0,
            Self::Line(id) => id.0,
            Self::Watercourse(id) => id.0,
            Self::Landmark(id) => id.0,
        }
    }

    /// The line, where it is one.
    pub const fn line(self) -> Option<LineId> {
        match self {
            Self::Line(id) => Some(id),
            Self::Outlet(_) | Self::Watercourse(_) | Self::Landmark(_) => None,
        }
    }
}

macro_rules! is_an_object {
    ($($id:ident => $object:ident),*) => {
        $(impl From<$id> for ObjectId {
            fn from(id: $id) -> Self {
                Self::$object(id)
            }
        })*
    };
}

is_an_object!(OutletId => Outlet, LineId => Line, WatercourseId => Watercourse, LandmarkId => Landmark);

impl Plan {
    /// The name of a thing; `None` where it is not in the plan.
    pub fn object_name(&self, id: impl Into<ObjectId>) -> Option<&str> {
        match id.into() {
            ObjectId::Outlet(id) => self.outlets.get(&id).map(|outlet| outlet.name.as_str()),
            ObjectId::Line(id) => self.lines.get(&id).map(|line| line.name.as_str()),
            ObjectId::Watercourse(id) => self.watercourses.get(&id).map(|watercourse| watercourse.name.as_str()),
            ObjectId::Landmark(id) => self.landmarks.get(&id).map(|mark| mark.name.as_str()),
        }
    }

    /// True for a thing that is in the plan.
    pub fn holds(&self, id: impl Into<ObjectId>) -> bool {
        self.object_name(id).is_some()
    }

    /// Every thing of the plan: outlets, lines, watercourses, marks.
    pub fn objects(&self) -> impl Iterator<Item = ObjectId> {
        let outlets = self.outlets.keys().map(|id| ObjectId::from(*id));
        let lines = self.lines.keys().map(|id| ObjectId::from(*id));
        let watercourses = self.watercourses.keys().map(|id| ObjectId::from(*id));
        outlets.chain(lines).chain(watercourses).chain(self.landmarks.keys().map(|id| ObjectId::from(*id)))
    }
}

/// Removes a thing; lines that went to it go nowhere until they are given another end. `None` where it is not in the plan.
pub fn remove(plan: &Plan, id: impl Into<ObjectId>) -> Option<Edit> {
    match id.into() {
        ObjectId::Outlet(id) => crate::remove_outlet(plan, id),
        ObjectId::Line(id) => crate::remove_line(plan, id),
        ObjectId::Watercourse(id) => crate::remove_watercourse(plan, id),
        ObjectId::Landmark(id) => crate::remove_landmark(plan, id),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the test")]
mod tests {
    use measure::{Point, Units};

    use super::*;
    use crate::{Joins, Landmark, LandmarkKind, Line, LineKind, Outlet, Outline, Watercourse, WatercourseKind};

    fn everything() -> Plan {
        let (here, there) = (Point::new(0.0, 0.0), Point::new(60.0, 0.0));
        let mut plan = Plan::new("Four", Units::Metric);
        let (outlet, edit) = crate::place_outlet(&plan, Outlet::new("O1", here, 99.0));
        plan.apply(&edit).unwrap();
        let main = Line { joins: Joins::Outlet(outlet), ..Line::new("M", LineKind::Main, vec![here, there]) };
        let (_, edit) = crate::add_line(&plan, main);
        plan.apply(&edit).unwrap();
        let ditch = Watercourse { name: "D1".into(), kind: WatercourseKind::Ditch, points: vec![here, there] };
        let (_, edit) = crate::add_watercourse(&plan, ditch);
        plan.apply(&edit).unwrap();
        let kind = LandmarkKind::all()[0].clone();
        let mark =
            Landmark { name: "mark".into(), kind, outline: Outline::Along(vec![here, there]), note: String::new() };
        let (_, edit) = crate::add_landmark(&plan, mark);
        plan.apply(&edit).unwrap();
        plan
    }

    #[test]
    fn numbers_are_each_there_once_and_what_is_removed_is_gone() {
        let mut plan = everything();
        let all: Vec<ObjectId> = plan.objects().collect();
        let mut numbers: Vec<u32> = all.iter().map(|id| id.number()).collect();
        numbers.dedup();
        assert_eq!(numbers, [1, 2, 3, 4]);
        let names: Vec<&str> = all.iter().filter_map(|id| plan.object_name(*id)).collect();
        assert_eq!(names, ["O1", "M", "D1", "mark"]);
        for id in all {
            assert!(plan.holds(id));
            let edit = remove(&plan, id).unwrap();
            plan.apply(&edit).unwrap();
            assert!(!plan.holds(id) && remove(&plan, id).is_none());
        }
    }
}
