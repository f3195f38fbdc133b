//! The receiver at the trench, as the window holds it.

use egui::Context;
use job::link::Link;
use job::receiver::{Outcome, Receiver};
use plan::{Plan, ShotOn};

/// A receiver that is listened to.
pub struct Receiving {
    link: Link,
    /// What it tells, and what came of it.
    pub receiver: Receiver,
    /// Where it is.
    pub address: String,
    /// Why nothing comes any more, where it ended.
    pub ended: Option<String>,
    /// What the shot that is being averaged is held on, and what is said of it.
    pub asked: (ShotOn, String),
}

impl Receiving {
    /// Begins to listen; the window is woken by what comes.
    pub fn open(plan: &Plan, address: String, antenna_m: f64, ctx: &Context) -> Result<Self, String> {
        let (receiver, waker) = (Receiver::new(plan, antenna_m)?, ctx.clone());
        let link = Link::open(&address, move || waker.request_repaint());
        Ok(Self { link, receiver, address, ended: None, asked: Default::default() })
    }

    /// Takes what has come since.
    pub fn hear(&mut self) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        while self.ended.is_none() {
            match self.link.next() {
                None => break,
                Some(Ok(piece)) => outcomes.extend(self.receiver.hear(&piece)),
                Some(Err(why)) => self.ended = Some(why),
            }
        }
        outcomes
    }
}
