//! The plan with ten mistakes.

/// Every mistake in it: the number of the check that finds it, and what is wrong, in words.
pub const MISTAKES: [(u16, &str); 10] = [
    (1, "a lateral runs uphill toward its outlet"),
    (26, "the outlet lies too low over the water"),
    (48, "a lateral enters its main in the lower half"),
    (53, "two lines cross and nobody says whether they are joined"),
    (55, "an upper end has no cap"),
    (63, "a line runs over the boundary"),
    (68, "a pipe passes a thirsty tree, whose roots seek water"),
    (82, "laterals of a grid lie too far apart for the soil"),
    (87, "old tile is joined and nobody has looked into it"),
    (99, "one shot of the survey sticks out"),
];
