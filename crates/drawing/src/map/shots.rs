//! The survey's shots by batch, and those that stick out.

use super::{MapOf, sign};
use crate::role::{BATCHES, Role};
use crate::scene::Item;

/// From so many shots on they are drawn smaller.
const MANY: usize = 2_000;

/// Every shot in sight; those that stick out once more.
pub fn items<'a>(map: &MapOf<'a>) -> Vec<Item<'a>> {
    let Some(survey) = map.land.and_then(|land| land.survey.as_deref()) else { return Vec::new() };
    let many = survey.shots.len() > MANY;
    let batch = |batch: usize| (batch % BATCHES) as u8;
    let shots = survey.shots.iter().zip(&survey.book.shots).filter(|(shot, _)| map.may_be_seen(shot.at));
    let shots = shots.map(|(shot, booked)| {
        let batch = batch(booked.batch);
        sign(if many { Role::SmallShot(batch) } else { Role::Shot(batch) }, shot.at)
    });
    let outliers = survey.outliers.iter().map(|outlier| sign(Role::Outlier, survey.shots[outlier.index].at));
    shots.chain(outliers).collect()
}
