//! The wall's fields.

use super::Quantity;
use super::walk::{Ends, Visitor, choice, copied_list, curve, follow};
use super::walk::{number, number_or_none, says, spread, work_or_none};
use crate::works::{Side, Tier, TopRun, Wall, WallMaterial};

/// Permit exemptions commonly end at 4 ft from the bottom of the footing (K-07, K-08).
const HIGH_WALL: &str = "Planning help only, no design by a licensed person. Permits and licensed \
                         design are commonly required above 4 ft from the footing's bottom, or with \
                         any load behind: ask the local authority.";

/// What hangs can fall.
const STONES: &str = "Planning help only. Nobody stands under or beside a stone that hangs; what a machine \
                      lifts at a reach stands in its maker's table.";

pub(super) fn walk(wall: &mut Wall, visitor: &mut dyn Visitor) {
    let n_before = wall.line.points.len();
    let edits = curve(visitor, ("line", "Line"), (Ends::Open, 2), &mut wall.line);
    follow(&mut wall.top_m, &edits, n_before);
    let n_points = wall.line.points.len();
    spread(visitor, ("top_m", "Top level", "Top level"), n_points, &mut wall.top_m, |says| {
        says.elevation().caution(HIGH_WALL)
    });
    let batter = says("batter", "Batter, run per rise").is(Quantity::RunPerRise, 0.0, 2.0);
    number(visitor, batter, &mut wall.batter);
    let thickness = says("thickness_m", "Thickness").is(Quantity::Length, 0.05, 5.0);
    number(visitor, thickness, &mut wall.thickness_m);
    let embedment = says("embedment_m", "Footing below ground").is(Quantity::Length, 0.0, 3.0);
    number(visitor, embedment.caution(HIGH_WALL), &mut wall.embedment_m);
    let backfill = says("backfill", "Backfill, run per rise").is(Quantity::RunPerRise, 0.5, 1000.0);
    number(visitor, backfill.caution(HIGH_WALL), &mut wall.backfill);
    let stone = says("stone_m", "Largest stones").is(Quantity::Length, 0.05, 5.0);
    number_or_none(visitor, stone.caution(STONES), 0.6, &mut wall.stone_m);
    walk_choices(wall, visitor);
    work_or_none(visitor, says("holds", "Holds the water of"), &mut wall.holds);
    walk_tiers(&mut wall.tiers, visitor);
}

fn walk_tiers(tiers: &mut Vec<Tier>, visitor: &mut dyn Visitor) {
    let first = || Tier { back_m: 1.0, rise_m: 0.4 };
    copied_list(visitor, says("tiers", "Tiers behind"), (0, 10), tiers, first);
    for (i, tier) in tiers.iter_mut().enumerate() {
        let of = |field: &str, what: &str| {
            says(format!("tiers[{i}].{field}"), format!("Tier {} {what}", i + 2))
        };
        let back = of("back_m", "behind the one in front").is(Quantity::Length, 0.05, 20.0);
        number(visitor, back.caution(HIGH_WALL), &mut tier.back_m);
        let rise = of("rise_m", "above the one in front").is(Quantity::Length, 0.01, 5.0);
        number(visitor, rise.caution(HIGH_WALL), &mut tier.rise_m);
    }
}

fn walk_choices(wall: &mut Wall, visitor: &mut dyn Visitor) {
    let sides = [Side::Left, Side::Right];
    let now = sides.iter().position(|s| *s == wall.retains).unwrap_or(0);
    let held = says("retains", "Ground held on the");
    if let Some(new) = choice(visitor, held, &["left", "right"], now) {
        wall.retains = sides[new];
    }
    let now = usize::from(wall.top_run == TopRun::Stepped);
    let runs = says("top_run", "Top between points");
    if let Some(new) = choice(visitor, runs, &["sloping", "stepped"], now) {
        wall.top_run = [TopRun::Sloping, TopRun::Stepped][new];
    }
    let materials = [WallMaterial::Stone, WallMaterial::Block, WallMaterial::Boulder];
    let now = materials.iter().position(|m| *m == wall.material).unwrap_or(0);
    let built = says("material", "Built of");
    if let Some(new) = choice(visitor, built, &["laid stone", "block", "boulder"], now) {
        wall.material = materials[new];
    }
}
