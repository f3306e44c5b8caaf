//! What fires on both demos and on each variation, and why a builder wants to hear it: what is not listed
//! is noise, and what is listed and does not fire is a silence.

use std::collections::BTreeSet;

use design::{Code, Evaluation};
use site::WorkId;

/// A code, the work that it is about, or none, and why it is rightly told.
type Fires = (Code, Option<u32>, &'static str);

use Code::*;

/// On the demos as they are.
const AS_IT_IS: [&[Fires]; 2] = [
    &[
        (WallBelowLip, Some(4), "the wall's top stands below the water that it is to hold"),
        (FlankTooSteep, Some(2), "a short flank at the filter is steeper than it is planted"),
        (RimLow, Some(3), "with the water over the lip little is left of the filter's edge"),
        (WaterFromSummit, Some(3), "hardly anything rises behind the lip"),
        (TooDeepHere, Some(1), "a metre of water beside a house"),
        (RunoffEntersPond, Some(1), "the garden falls to the pond"),
        (BareSoilDrainsIn, None, "the hill's outer flank sheds over the boundary until it is sown"),
        (BareSoilDrainsIn, Some(1), "what is stripped around the pond lies above the hole"),
        (OverBoundary, Some(2), "the hill's toe comes into the setback"),
        (FillUnderfoot, Some(3), "the filter stands on the fresh hill"),
        (FillUnderfoot, Some(4), "and so does its wall"),
        (LinerSubgrade, Some(1), "gravel slides off the steep banks between the shelves"),
        (SurveySuspect, None, "one shot was booked with a wrong number"),
        (DeadCorner, Some(1), "the stream and the pump pass by the lobe in the north-west"),
    ],
    &[
        (FlankTooSteep, Some(6), "the hill falls 1 in 2 to save room"),
        (FlankTooSteep, Some(7), "and so does the filter's bank"),
        (ReadsAsMound, Some(6), "a short round hill on level ground"),
        (TooDeepHere, Some(2), "a metre of water"),
        (RunoffEntersPond, Some(2), "the lawn falls to the pond"),
        (BareSoilDrainsIn, Some(2), "what is regraded drains into the hole"),
        (BuriedLineNear, Some(11), "the lawn is lowered over the shed's cable"),
        (FillUnderfoot, Some(7), "the filter stands on the fresh hill"),
        (LinerSubgrade, Some(2), "gravel slides off the steep banks between the shelves"),
    ],
];

/// What each variation adds to that, by its name.
const ADDED: [(&str, &[Fires]); 20] = [
    (
        "a smaller pump and a thin pipe",
        &[
            (PumpFallsShort, Some(1), "a third of what is wanted is moved"),
            (CrestRunsThin, Some(3), "the lip drips"),
            (CrestRunsThin, Some(5), "and so do the falls"),
        ],
    ),
    (
        "a pump far too large",
        &[
            (RimLow, Some(5), "the stream runs up to its edge"),
            (PipeRunsFast, Some(1), "twice the common speed"),
            (StopFloodsRim, Some(1), "more water in motion than there is room for"),
        ],
    ),
    (
        "the pond 10 in higher, its stream as it was",
        &[
            (RimLow, Some(5), "the pond drowns the stream's lower end"),
            (StreamDoesNotClose, Some(5), "its mouth ends under water"),
            (OverflowRunsToHouse, Some(1), "the raised pond runs over on the house's side"),
            (StopFloodsRim, Some(1), "the overflow stayed where it was, below the water"),
        ],
    ),
    ("groundwater at 100 ft", &[(GroundwaterLiftsLiner, Some(1), "it stands above the floor")]),
    (
        "the wall built first, and 2 ft higher",
        &[
            (WallNeedsEngineer, Some(4), "nearly four feet that hold water"),
            (OverBoundary, Some(4), "nothing buries it any more, in the setback"),
            (WallTooLight, Some(4), "it was as thick for half the height"),
        ],
    ),
    (
        "a terrace that falls toward the house",
        &[
            (DrainsToHouse, Some(6), "that is what it does"),
            (FillUnderfoot, Some(6), "its outer side is filled"),
            (SurveyThin, Some(6), "nobody shot that corner for a terrace"),
        ],
    ),
    (
        "narrow shelves that lie deep",
        &[
            (BankUnsafeToDig, Some(1), "the hole is five feet deep now"),
            (ShelfOutOfRange, Some(1), "too narrow to stand on, too deep to plant"),
        ],
    ),
    (
        "a young tree and a gas line at the pond",
        &[
            (RootZoneCut, Some(1), "the pond is dug into its roots"),
            (BuriedLineNear, Some(1), "and down to the gas"),
            (BuriedLineNear, None, "a heap lies on it"),
        ],
    ),
    (
        "a storm of 12 in an hour over an overflow of 8 in",
        &[(OverflowTooSmall, Some(1), "it stands a finger's breadth below the edge")],
    ),
    (
        "heaps at the pond, on roots and over the boundary",
        &[
            (OverBoundary, None, "the heap lies on the neighbour's ground"),
            (OrderTrap, None, "no barrow is so narrow"),
            (RootZoneCut, None, "a heap smothers the oak"),
            (BankUnsafeToDig, Some(1), "a heap stands on the hole's edge"),
        ],
    ),
    (
        "a narrow sill that stands high",
        &[(StartStarvesPump, Some(3), "the pump draws more than the sill lets in")],
    ),
    (
        "a hill twice as high",
        &[
            (RootZoneCut, Some(6), "its toe reaches the lime"),
            (FillUnderfoot, Some(5), "the back wall stands in it"),
            (OrderTrap, Some(5), "and is buried by it"),
        ],
    ),
    (
        "the bay before its pond, the stream before its hill",
        &[(OrderTrap, Some(3), "the pond's rim closes the bay's channel")],
    ),
    (
        "a strip of lawn at 1 in 3",
        &[
            (DrainsToHouse, Some(11), "level with the wall's foot for the first yards"),
            (OverBoundary, Some(11), "it is cut up to the fence"),
            (LawnTooSteep, Some(11), "no mower holds on it"),
            (BankUnsafeToDig, Some(11), "the heap at the gate stands on its edge"),
            (BeyondSurvey, Some(11), "its bank runs out where nothing was shot"),
        ],
    ),
    (
        "groundwater that comes up to the lawn",
        &[
            (GroundwaterLiftsLiner, Some(2), "a low pond floats"),
            (GroundwaterLiftsLiner, Some(3), "and so does its bay"),
        ],
    ),
    (
        "a high fall at a bend",
        &[
            (StreamDoesNotClose, Some(8), "the bed rises behind the drop"),
            (WorkHasNoShape, Some(8), "the rock is wider than the bed"),
            (RimLow, Some(7), "the filter's water stands up to its edge"),
            (RimLow, Some(8), "the stream has hardly an edge"),
        ],
    ),
    // Both arms still take two thirds of their share and more: nobody sees it.
    ("a rock moved aside", &[]),
    (
        "a path that climbs",
        &[
            (DrainsToHouse, Some(9), "it dams up the terrace"),
            (FillUnderfoot, Some(10), "half a metre of fresh fill"),
        ],
    ),
    (
        "a back wall of 1.5 m",
        &[
            (ReadsAsMound, Some(5), "with its top the highest place"),
            (WallTooLight, Some(5), "a foot thick, at that height"),
        ],
    ),
    (
        "a shed close to the overflow, a narrow gate and large stones",
        &[
            (OrderTrap, None, "the carrier does not come in"),
            (OverflowRunsToHouse, Some(2), "at the shed"),
            (OrderTrap, Some(8), "a stone of more than two tonnes"),
        ],
    ),
];

/// What fires and is not listed, or is listed and does not fire: as it is, or beside that in a variation.
pub(super) fn unlike(
    demo: usize,
    variation: Option<&str>,
    [before, after]: [&Evaluation; 2],
) -> Option<String> {
    let pairs = |of: &Evaluation| -> BTreeSet<(Code, Option<WorkId>)> {
        of.findings.iter().map(|finding| (finding.code, finding.work)).collect()
    };
    let listed = match variation {
        None => AS_IT_IS[demo],
        Some(name) => ADDED.iter().find(|(of, _)| *of == name)?.1,
    };
    let listed = listed.iter().map(|(code, work, _)| (*code, work.map(WorkId)));
    let listed: BTreeSet<_> = listed.collect();
    let mut fired = pairs(after);
    if variation.is_some() {
        fired.retain(|of| !pairs(before).contains(of));
    }
    let noise: Vec<_> = fired.difference(&listed).collect();
    let silence: Vec<_> = listed.difference(&fired).collect();
    (fired != listed).then(|| {
        format!("{}: noise {noise:?}, silence {silence:?}", variation.unwrap_or("as it is"))
    })
}

/// Whether a variation is listed.
pub(super) fn is_listed(variation: &str) -> bool {
    ADDED.iter().any(|(of, _)| *of == variation)
}
