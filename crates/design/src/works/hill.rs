//! The hill: a level crest and flanks that round at the shoulder and ease at the toe.
//!
//! Held by a wall, it raises no ground in front of that wall but what comes round the wall's ends.

use ground::Lattice;
use site::works::{Flank, Hill, Wall};

use super::outline::{Outline, lifted};
use super::raised::{Raised, Side, Slope};
use super::{Body, CHORD_M, Form};
use crate::part::Part;
use crate::{Problem, Shape};

/// The least width of a crest: the foot of a person.
const LEAST_CREST_M: f64 = 0.02;

pub(super) fn form(hill: &Hill, owner: u32, wall: Option<&Wall>, lattice: Lattice) -> Form {
    let held = wall.and_then(|wall| super::wall::holding_line(wall, lattice));
    let raised = Outline::line(lattice, &hill.crest, CHORD_M).map(|line| Raised {
        owner,
        left: Some(side(&line, &hill.width_m, &hill.left)),
        right: Some(side(&line, &hill.width_m, &hill.right)),
        line: lifted(&line.points, &line.blended(&hill.crest_m)),
        no_fill: Vec::new(),
        held,
    });
    let problems = raised.iter().flat_map(buried_crest).collect();
    Form::new(raised.map(Body::Raised), Shape { problems, ..Shape::default() })
}

/// Where the crest falls more steeply along its line than a flank falls at all: there that flank
/// comes down from the crest's higher end and covers the lower.
fn buried_crest(hill: &Raised) -> Option<Problem> {
    let sides = [("left", hill.left.as_ref()?), ("right", hill.right.as_ref()?)];
    hill.line.windows(2).enumerate().find_map(|(i, pair)| {
        let [(a, a_m), (b, b_m)] = [pair[0], pair[1]];
        let run_per_rise = libm::hypot(b[0] - a[0], b[1] - a[1]) / (b_m - a_m).abs();
        let flattest = |side: &Side| {
            side.slopes[i].run_per_rise.min(side.slopes[i + 1].run_per_rise) >= run_per_rise
        };
        let (name, _) = sides.into_iter().find(|(_, side)| flattest(side))?;
        let message = format!(
            "its crest falls 1 in {run_per_rise:.1}, more steeply than its {name} flank, which covers \
             it from the higher end"
        );
        Some(Problem { message, at_m: if a_m < b_m { a } else { b } })
    })
}

fn side(line: &Outline, width_m: &[f64], flanks: &[Flank]) -> Side {
    let blended =
        |value: fn(&Flank) -> f64| line.blended(&flanks.iter().map(value).collect::<Vec<_>>());
    let widths = line.blended(width_m);
    let runs = blended(|flank| flank.run_per_rise);
    let (shoulders, toes) = (blended(|flank| flank.shoulder_m), blended(|flank| flank.toe_m));
    let slope = |i: usize| Slope {
        level_m: 0.5 * widths[i].max(LEAST_CREST_M),
        run_per_rise: runs[i],
        shoulder_m: shoulders[i],
        toe_m: toes[i],
    };
    let slopes = (0..line.points.len()).map(slope).collect();
    Side { slopes, top: Part::Crest, face: Part::Flank }
}
