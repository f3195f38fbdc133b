//! What must be said on everything that leaves the program.

/// The cautions in one line, for files, sheets and the foot of the window ([29 CFR 1926.651–652], one-call pages
/// [811], [16 USC 3821(d)]).
pub const CAUTION: &str = "Have utilities located before digging, private lines too. Nobody enters a trench 5 ft (1.5 m) \
or deeper without sloping, shoring or a box. Ask about wetlands, permits, easements and the neighbor's water first. \
Levels come from the ground supplied: verify the outlet and the ditch by survey. Quantities are estimates. Local code \
and licensed practice go before this plan, which is a planning aid and no engineer's design.";

/// The shortest form, where there is room for one line only.
pub const CAUTION_SHORT: &str = "Locate utilities first. Nobody in an unprotected 5 ft (1.5 m) trench. Wetlands, permits and local code go first. Estimates.";
