//! Whoever holds a plan may be killed: what was held is free at once.

#![allow(clippy::unwrap_used, reason = "helpers of tests may stop the test")]

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use exchange::{Grip, PlanLock, Taken};

const CHILD: &str = "DRAINWRIGHT_TEST_HOLD";

/// The child: holds the plan, as a command and as a window, until it is killed. Alone it does nothing.
#[test]
fn holds_for_ever_when_asked() {
    let Some(plan) = std::env::var_os(CHILD).map(PathBuf::from) else { return };
    let held = [Grip::Change, Grip::Window].map(|grip| PlanLock::take(&plan, grip, "the child"));
    assert!(held.iter().all(|taken| matches!(taken, Taken::Ours(_))));
    loop {
        std::thread::sleep(Duration::from_secs(1));
    }
}

fn is_held(plan: &Path, grip: Grip) -> bool {
    matches!(PlanLock::take(plan, grip, "the test"), Taken::Theirs(by) if by == "the child")
}

fn holding_child(plan: &Path) -> Child {
    let child = Command::new(std::env::current_exe().unwrap())
        .args(["holds_for_ever_when_asked", "--exact"])
        .env(CHILD, plan)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    // Looked for by its file first: a lock that the test takes for a moment would keep the child from its own.
    let file = plan.with_file_name(".a.drain.window");
    let begun = Instant::now();
    while !std::fs::read_to_string(&file).is_ok_and(|text| text == "the child") {
        assert!(begun.elapsed() < Duration::from_secs(30), "the child never came to hold");
        std::thread::sleep(Duration::from_millis(2));
    }
    child
}

#[test]
fn a_killed_holder_holds_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let plan = folder.path().join("a.drain");
    for _ in 0..10 {
        let _ = std::fs::remove_file(plan.with_file_name(".a.drain.window"));
        let mut child = holding_child(&plan);
        assert!(is_held(&plan, Grip::Change) && is_held(&plan, Grip::Window));
        child.kill().unwrap();
        child.wait().unwrap();
        assert!(folder.path().join(".a.drain.lock").exists(), "the killed one leaves its file behind");
        for grip in [Grip::Change, Grip::Window] {
            assert!(matches!(PlanLock::take(&plan, grip, "the next"), Taken::Ours(_)), "{grip:?}");
        }
    }
}
