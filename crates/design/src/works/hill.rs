//! The hill: a level crest and flanks that round at the shoulder and ease at the toe.

use ground::Lattice;
use site::works::{Flank, Hill};

use super::outline::{Outline, lifted};
use super::raised::{Raised, Side, Slope};
use super::{Body, CHORD_M, Form};
use crate::Shape;
use crate::part::Part;

/// The least width of a crest: the foot of a person.
const LEAST_CREST_M: f64 = 0.02;

pub(super) fn form(hill: &Hill, owner: u32, lattice: Lattice) -> Form {
    let raised = Outline::line(lattice, &hill.crest, CHORD_M).map(|line| Raised {
        owner,
        left: Some(side(&line, &hill.width_m, &hill.left)),
        right: Some(side(&line, &hill.width_m, &hill.right)),
        line: lifted(&line.points, &line.blended(&hill.crest_m)),
    });
    Form::new(raised.map(Body::Raised), Shape::default())
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
