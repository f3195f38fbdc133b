//! The field book: shots as they were taken, in batches that share a day, an instrument and a datum.

use std::collections::BTreeMap;

use measure::LengthUnit;

use crate::Shot;

/// Shots that were taken together: what goes wrong with one of them mostly goes wrong with all.
#[derive(Debug, Clone, PartialEq)]
pub struct Batch {
    /// Its name, told apart from every other batch of the book.
    pub name: String,
    /// The file it was read from.
    pub file: String,
    /// Unit in which its levels were read.
    pub unit: LengthUnit,
    /// What its levels count from; empty where nobody says.
    pub datum: String,
    /// The day it was taken, `YYYY-MM-DD`.
    pub date: Option<String>,
}

/// A shot with what its file says of it.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveyShot {
    /// Point number or name, told apart from every other of its batch.
    pub name: String,
    /// Code or description; empty without one.
    pub code: String,
    /// Its batch, as an index into [`FieldBook::batches`].
    pub batch: usize,
    /// Line of the file, counted from 1.
    pub row: usize,
    /// Where it is and how high, metres.
    pub shot: Shot,
}

/// All shots of a job.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FieldBook {
    /// The batches, in the order they were read.
    pub batches: Vec<Batch>,
    /// The shots, batch by batch in the order of their files.
    pub shots: Vec<SurveyShot>,
}

impl FieldBook {
    /// Adds a batch with its shots; a name that is taken already gets a number, so that every shot can be named.
    pub fn add(&mut self, batch: Batch, shots: impl IntoIterator<Item = SurveyShot>) {
        let index = self.batches.len();
        let mut taken = self.batches.iter().map(|batch| (batch.name.clone(), 1)).collect();
        self.batches.push(Batch { name: told_apart(batch.name.clone(), &mut taken), ..batch });
        let mut taken = BTreeMap::new();
        self.shots.extend(shots.into_iter().map(|shot| {
            let name = told_apart(shot.name.clone(), &mut taken);
            SurveyShot { name, batch: index, ..shot }
        }));
    }

    /// The shots of a batch with their places in [`FieldBook::shots`].
    pub fn of_batch(&self, batch: usize) -> impl Iterator<Item = (usize, &SurveyShot)> {
        self.shots.iter().enumerate().filter(move |(_, shot)| shot.batch == batch)
    }

    /// Places and levels alone.
    pub fn bare(&self) -> Vec<Shot> {
        self.shots.iter().map(|shot| shot.shot).collect()
    }

    /// A shot as said in a sentence: its name, with its batch where another batch has a shot of that name.
    pub fn name_of(&self, index: usize) -> String {
        let shot = &self.shots[index];
        let twice = self.shots.iter().any(|other| other.name == shot.name && other.batch != shot.batch);
        if twice { format!("{}/{}", self.batches[shot.batch].name, shot.name) } else { shot.name.clone() }
    }

    /// Shots that are called so: by name, or by batch and name with a stroke between.
    pub fn called<'a>(&'a self, name: &'a str) -> impl Iterator<Item = usize> + 'a {
        let is_called = move |shot: &SurveyShot| {
            let batch = self.batches[shot.batch].name.as_str();
            shot.name == name || name.strip_prefix(batch).and_then(|rest| rest.strip_prefix('/')) == Some(&shot.name)
        };
        (0..self.shots.len()).filter(move |index| is_called(&self.shots[*index]))
    }
}

/// The name itself, or with the first number in brackets that tells it apart; `taken` knows the last number of each.
fn told_apart(name: String, taken: &mut BTreeMap<String, usize>) -> String {
    let mut free = name.clone();
    while taken.contains_key(&free) {
        let number = taken.entry(name.clone()).or_insert(1);
        *number += 1;
        free = format!("{name} ({number})");
    }
    taken.insert(free.clone(), 1);
    free
}

#[cfg(test)]
mod tests {
    use measure::Point;

    use super::*;

    fn batch(name: &str) -> Batch {
        let (file, datum) = ("a.csv".into(), String::new());
        Batch { name: name.into(), file, unit: LengthUnit::Foot, datum, date: None }
    }

    fn shot(name: &str) -> SurveyShot {
        let shot = Shot { at: Point::new(0.0, 0.0), level_m: 1.0 };
        SurveyShot { name: name.into(), code: String::new(), batch: 0, row: 1, shot }
    }

    #[test]
    fn every_shot_can_be_named() {
        let mut survey = FieldBook::default();
        survey.add(batch("level"), [shot("1"), shot("1"), shot("2")]);
        survey.add(batch("level"), [shot("1"), shot("7")]);
        assert_eq!(survey.batches[1].name, "level (2)");
        let names: Vec<String> = (0..5).map(|index| survey.name_of(index)).collect();
        assert_eq!(names, ["level/1", "1 (2)", "2", "level (2)/1", "7"]);
        assert_eq!(survey.called("1").collect::<Vec<_>>(), [0, 3]);
        for (index, name) in names.iter().enumerate() {
            assert_eq!(survey.called(name).collect::<Vec<_>>(), [index]);
        }
        assert_eq!(survey.of_batch(1).map(|(index, _)| index).collect::<Vec<_>>(), [3, 4]);
    }
}
