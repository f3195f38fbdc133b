//! When the window draws a frame: once for an event. The window library asks for two more after each, so that what answers a
//! frame late comes to rest; where the pointer only moves nothing does, and a frame costs a slow machine most of all.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use egui::{Context, Event, RequestRepaintInfo};

/// Which requests for a frame are heard.
#[derive(Debug, Default)]
struct Heard {
    /// True in a frame in which the pointer moves and nothing else is done.
    only_moves: AtomicBool,
    /// True from when such a frame takes its events in until it is shown: what is asked for then is asked for every event.
    takes_in: AtomicBool,
}

/// Passes on to the window what asks for a frame with good reason.
#[derive(Debug, Clone, Default)]
pub struct Pace(Arc<Heard>);

impl Pace {
    /// Passes on from now on what is asked of a context, to whoever draws frames.
    pub fn pass_on(&self, ctx: &Context, ask: impl Fn(RequestRepaintInfo) + Clone + Send + Sync + 'static) {
        let (heard, asked) = (self.0.clone(), ask.clone());
        // The library calls the first for its two more frames too, the second for every request that is made, from any thread.
        ctx.set_request_repaint_callback(move |info| {
            if !heard.only_moves.load(Ordering::Relaxed) {
                asked(info);
            }
        });
        let heard = self.0.clone();
        ctx.set_repaint_observer(move |info| {
            if !heard.takes_in.load(Ordering::Relaxed) {
                ask(info);
            }
        });
    }

    /// A frame takes in what was done.
    pub fn takes_in(&self, events: &[Event]) {
        let is_move = |event: &Event| matches!(event, Event::PointerMoved(_) | Event::MouseMoved(_) | Event::Zoom(_));
        let only_moves = !events.is_empty() && events.iter().all(is_move);
        self.0.only_moves.store(only_moves, Ordering::Relaxed);
        self.0.takes_in.store(only_moves, Ordering::Relaxed);
    }

    /// The frame is shown: whatever is asked for from now on has a reason of its own.
    pub fn shows(&self) {
        self.0.takes_in.store(false, Ordering::Relaxed);
    }
}
