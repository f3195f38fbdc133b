//! How long the punch list takes on a large plan.

fn main() {
    divan::main();
}
