//! Where the eye is: three looks at one garden.

use bevy::camera::ScalingMode;
use bevy::prelude::*;
use site::Site;

use crate::scene::Scene;

/// A way to look at the garden.
#[derive(Component, Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Look {
    /// From above, true to scale.
    Plan,
    /// From the air, aslant.
    #[default]
    BirdsEye,
    /// At eye height, on foot.
    Walk,
}

/// The eye in each look; places are local metres, angles radians.
#[derive(Resource, Clone, Copy, Debug, PartialEq)]
pub(crate) struct Eye {
    pub look: Look,
    pub plan: PlanEye,
    pub birds_eye: BirdsEye,
    pub walk: WalkEye,
}

/// The plan's middle and how many metres its height shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PlanEye {
    pub centre: [f64; 2],
    pub height_m: f64,
}

/// An eye in the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct BirdsEye {
    pub at: [f64; 3],
    /// Where the eye looks, counter-clockwise from east.
    pub heading: f64,
    /// How far it looks down.
    pub dip: f64,
}

/// An eye on foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct WalkEye {
    pub at: [f64; 2],
    pub eye_m: f64,
    /// Where it looks, counter-clockwise from east.
    pub heading: f64,
    /// How far it looks down.
    pub dip: f64,
    /// Its vertical field of view.
    pub fov: f64,
}

/// The camera's vertical field of view for the slanted looks, in radians.
pub(crate) const AERIAL_FOV: f32 = 0.66;
const WALK_FOV: f64 = 0.56;

/// Narrowest and widest that a viewpoint looks, in radians: what it looks at fills its picture.
const VIEWPOINT_FOV: [f64; 2] = [0.34, 0.60];

/// How much lower than its aim a standing eye looks, as a share of its field of view: ground fills
/// more of a picture than sky.
const LOWERED: f64 = 0.07;

/// Share of a picture's width that works take.
const FILLED: f64 = 0.86;

/// Farthest that a viewpoint's heading gives way to bring the works into the middle.
const SWAY: f64 = 0.11;

/// The part of a picture or window that nothing covers, in points from its whole's corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pane {
    /// Width and height of the whole.
    pub whole: [f64; 2],
    /// Left, top, right and bottom of what is open.
    pub open: [f64; 4],
}

impl Pane {
    /// A picture that nothing covers.
    pub(crate) fn bare(whole: [f64; 2]) -> Self {
        Self { whole, open: [0.0, 0.0, whole[0], whole[1]] }
    }

    /// How far the open part's middle lies right of and below the whole's, as shares of its height.
    fn shift(&self) -> [f64; 2] {
        let [left, top, right, bottom] = self.open;
        let off = [0.5 * (left + right - self.whole[0]), 0.5 * (top + bottom - self.whole[1])];
        off.map(|off| off / self.whole[1])
    }

    /// Width of the open part over the height of the whole.
    fn aspect(&self) -> f64 {
        (self.open[2] - self.open[0]) / self.whole[1]
    }

    /// Metres that the whole's height must show so that the open part holds a span in plan.
    fn height_for(&self, span: [f64; 2]) -> f64 {
        let [left, top, right, bottom] = self.open;
        let points_per_m = ((right - left) / span[0]).min((bottom - top) / span[1]);
        self.whole[1] / points_per_m
    }
}

/// A camera's place and lens.
#[derive(Clone, Debug)]
pub(crate) struct Pose {
    pub transform: Transform,
    pub projection: Projection,
}

impl Eye {
    /// A first eye for a site: over its works, looking from the first viewpoint's side.
    pub(crate) fn first(site: &Site, scene: &Scene, pane: &Pane) -> Self {
        let focus = Focus::of(scene);
        let from = match (site.viewpoints.first(), site.houses.first()) {
            (Some(viewpoint), _) => viewpoint.at_m,
            (None, Some(house)) => middle(&house.outline_m),
            (None, None) => [focus.middle[0] - 1.0, focus.middle[1] - 2.0],
        };
        let heading = libm::atan2(focus.middle[1] - from[1], focus.middle[0] - from[0]);
        Self {
            look: Look::BirdsEye,
            plan: PlanEye::whole(scene, pane),
            birds_eye: BirdsEye::clear_of(&standing(site, &focus), &focus, heading, pane),
            walk: site.viewpoints.first().map_or(
                WalkEye { at: from, eye_m: 1.6, heading, dip: 0.10, fov: WALK_FOV },
                |viewpoint| WalkEye::from_viewpoint(viewpoint, scene, pane),
            ),
        }
    }

    /// What is seen now as a viewpoint without a name; none from above, where nobody stands.
    pub(crate) fn viewpoint(&self, scene: &Scene) -> Option<site::Viewpoint> {
        /// So far ahead lies what is looked at, where nothing else tells, metres.
        const AHEAD_M: f64 = 8.0;
        let (at_m, eye_z, heading, dip) = match self.look {
            Look::Plan => return None,
            Look::Walk => {
                let walk = &self.walk;
                let ground = scene.finished.elevation(walk.at)?;
                // The pose looks lower than its viewpoint does.
                (walk.at, ground + walk.eye_m, walk.heading, walk.dip - LOWERED * walk.fov)
            }
            Look::BirdsEye => {
                let bird = &self.birds_eye;
                ([bird.at[0], bird.at[1]], bird.at[2], bird.heading, bird.dip)
            }
        };
        let centre = scene.extent.centre();
        let ground = scene.finished.elevation(at_m).unwrap_or(centre[2]);
        let reach = match self.look {
            Look::BirdsEye => libm::hypot(centre[0] - at_m[0], centre[1] - at_m[1]).max(AHEAD_M),
            Look::Plan | Look::Walk => AHEAD_M,
        };
        let (s, c) = libm::sincos(heading);
        let toward_m = [at_m[0] + reach * c, at_m[1] + reach * s, eye_z - reach * libm::tan(dip)];
        Some(site::Viewpoint { name: "View".into(), at_m, eye_m: eye_z - ground, toward_m })
    }

    /// The camera for the present look.
    pub(crate) fn pose(&self, scene: &Scene) -> Pose {
        match self.look {
            Look::Plan => self.plan.pose(scene),
            Look::BirdsEye => self.birds_eye.pose(scene),
            Look::Walk => self.walk.pose(scene),
        }
    }
}

impl PlanEye {
    /// The whole survey in the open part of a pane.
    pub(crate) fn whole(scene: &Scene, pane: &Pane) -> Self {
        let (extent, middle) = (scene.extent, scene.extent.centre());
        let span = [0, 1].map(|i| (extent.high[i] - extent.low[i]).max(0.5) * 1.08);
        let height_m = pane.height_for(span);
        let [right, down] = pane.shift();
        Self { centre: [middle[0] - right * height_m, middle[1] + down * height_m], height_m }
    }

    fn pose(&self, scene: &Scene) -> Pose {
        let top = scene.extent.high[2] + 40.0;
        let eye = scene.frame.scene([self.centre[0], self.centre[1], top]);
        Pose {
            transform: Transform::from_translation(eye).looking_to(Vec3::NEG_Y, Vec3::NEG_Z),
            projection: Projection::Orthographic(OrthographicProjection {
                near: 0.1,
                far: 200.0,
                scaling_mode: ScalingMode::FixedVertical { viewport_height: self.height_m as f32 },
                ..OrthographicProjection::default_3d()
            }),
        }
    }
}

impl BirdsEye {
    /// An eye that holds what a first look should hold.
    pub(crate) fn over(focus: &Focus, heading: f64, pane: &Pane) -> Self {
        // What covers a pane's sides leaves less of the lens to see with.
        let [left, top, right, bottom] = pane.open;
        let share = ((right - left) / pane.whole[0]).min((bottom - top) / pane.whole[1]);
        let distance_m = (focus.radius_m * 1.62 + 2.0) / share.clamp(0.4, 1.0);
        Self::toward(focus.middle, heading, 0.44, distance_m, pane)
    }

    /// An eye over the focus, turned a little off a heading, or more where something stands between.
    pub(crate) fn clear_of(
        standing: &[[f64; 3]],
        focus: &Focus,
        heading: f64,
        pane: &Pane,
    ) -> Self {
        const TURNS: [f64; 6] = [0.42, -0.42, 1.2, -1.2, 2.0, -2.0];
        let eyes = TURNS.map(|turn| Self::over(focus, heading + turn, pane));
        // The first of those before which least stands.
        eyes.into_iter().min_by_key(|eye| eye.n_before(standing, focus, pane)).unwrap_or(eyes[0])
    }

    /// How many of these places show before the focus.
    fn n_before(&self, standing: &[[f64; 3]], focus: &Focus, pane: &Pane) -> usize {
        let way = axes(self.heading, self.dip);
        let own = |place: [f64; 3]| {
            let off: [f64; 3] = std::array::from_fn(|i| place[i] - self.at[i]);
            way.map(|axis| (0..3).map(|i| axis[i] * off[i]).sum::<f64>())
        };
        let up = libm::tan(0.5 * f64::from(AERIAL_FOV));
        let aside = up * pane.whole[0] / pane.whole[1];
        let to_focus = own(focus.middle)[2];
        let shows = |place: &&[f64; 3]| {
            let [right, high, ahead] = own(**place);
            (0.0..to_focus).contains(&ahead)
                && right.abs() < aside * ahead
                && high.abs() < up * ahead
        };
        standing.iter().filter(shows).count()
    }

    /// An eye that sees a place in the middle of a pane's open part.
    pub(crate) fn toward(
        target: [f64; 3],
        heading: f64,
        dip: f64,
        distance_m: f64,
        pane: &Pane,
    ) -> Self {
        let [right, up, ahead] = axes(heading, dip);
        let seen_m = 2.0 * distance_m * libm::tan(0.5 * f64::from(AERIAL_FOV));
        let [aside, down] = pane.shift().map(|share| share * seen_m);
        let at = std::array::from_fn(|i| {
            target[i] - ahead[i] * distance_m - right[i] * aside + up[i] * down
        });
        Self { at, heading, dip }
    }

    /// The same eye turned around a pivot, so that the pivot stays where it is on the screen.
    pub(crate) fn turned(self, pivot: [f64; 3], turn: f64, tilt: f64) -> Self {
        let dip = (self.dip + tilt).clamp(0.06, 1.52);
        let heading = self.heading + turn;
        // The pivot keeps its place in the eye's own axes: right, up, ahead.
        let (was, now) = (axes(self.heading, self.dip), axes(heading, dip));
        let offset: [f64; 3] = std::array::from_fn(|i| pivot[i] - self.at[i]);
        let own = was.map(|axis| (0..3).map(|i| axis[i] * offset[i]).sum::<f64>());
        let at = std::array::from_fn(|i| {
            pivot[i] - (0..3).map(|axis| now[axis][i] * own[axis]).sum::<f64>()
        });
        Self { at, heading, dip }
    }

    fn pose(&self, scene: &Scene) -> Pose {
        let mut at = self.at;
        // Never below the ground.
        if let Some(ground) = scene.finished.elevation([at[0], at[1]]) {
            at[2] = at[2].max(ground + 0.5);
        }
        Pose {
            transform: Transform::from_translation(scene.frame.scene(at))
                .looking_to(direction(self.heading, self.dip), Vec3::Y),
            projection: lens(AERIAL_FOV, scene),
        }
    }
}

/// Places on what stands high in the garden: along the eaves of houses, around the crowns of trees.
fn standing(site: &Site, focus: &Focus) -> Vec<[f64; 3]> {
    const N: usize = 8;
    let mut places = Vec::new();
    for house in &site.houses {
        let n = house.outline_m.len();
        let eaves_m = house.floor_m + house.height_m;
        places.extend((0..N * n).map(|k| {
            let (a, b) = (house.outline_m[k / N], house.outline_m[(k / N + 1) % n]);
            let t = (k % N) as f64 / N as f64;
            [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, eaves_m]
        }));
    }
    let crowns = crate::scene::kept::hiding_places(site);
    places.extend(crowns.into_iter().map(|[x, y, up]| [x, y, focus.middle[2] + up]));
    places
}

/// The way a heading and a dip point: east, north, up.
pub(crate) fn aim(heading: f64, dip: f64) -> [f64; 3] {
    let level = libm::cos(dip);
    [libm::cos(heading) * level, libm::sin(heading) * level, -libm::sin(dip)]
}

/// Right, up and ahead of an eye, in local axes.
fn axes(heading: f64, dip: f64) -> [[f64; 3]; 3] {
    let ahead = aim(heading, dip);
    let right = [libm::sin(heading), -libm::cos(heading), 0.0];
    let up = [
        right[1] * ahead[2] - right[2] * ahead[1],
        right[2] * ahead[0] - right[0] * ahead[2],
        right[0] * ahead[1] - right[1] * ahead[0],
    ];
    [right, up, ahead]
}

impl WalkEye {
    /// The eye at a viewpoint, looking where it looks, for the open part of a pane.
    pub(crate) fn from_viewpoint(viewpoint: &site::Viewpoint, scene: &Scene, pane: &Pane) -> Self {
        let ground = scene.finished.elevation(viewpoint.at_m);
        let eye_z = ground.unwrap_or(viewpoint.toward_m[2]) + viewpoint.eye_m;
        let way: [f64; 2] = std::array::from_fn(|i| viewpoint.toward_m[i] - viewpoint.at_m[i]);
        let run = libm::hypot(way[0], way[1]).max(0.01);
        let heading = libm::atan2(way[1], way[0]);
        let [right, left] = reach_of_works(scene, viewpoint.at_m, heading);
        let sway = (0.5 * (right + left)).clamp(-SWAY, SWAY);
        let half = (left - sway).max(sway - right).clamp(0.05, 1.0);
        let fov = 2.0 * libm::atan(libm::tan(half) / (FILLED * pane.aspect()));
        let fov = fov.clamp(VIEWPOINT_FOV[0], VIEWPOINT_FOV[1]);
        let [aside, down] = pane.shift().map(|share| share * fov);
        Self {
            at: viewpoint.at_m,
            eye_m: viewpoint.eye_m,
            heading: heading + sway + aside,
            dip: libm::atan2(eye_z - viewpoint.toward_m[2], run) + LOWERED * fov - down,
            fov,
        }
    }

    /// The place so many metres ahead.
    pub(crate) fn ahead(&self, reach_m: f64) -> [f64; 2] {
        [
            self.at[0] + reach_m * libm::cos(self.heading),
            self.at[1] + reach_m * libm::sin(self.heading),
        ]
    }

    fn pose(&self, scene: &Scene) -> Pose {
        let ground = scene.foothold(self.at).or_else(|| scene.finished.elevation(self.at));
        let ground = ground.unwrap_or(scene.extent.centre()[2]);
        let eye = scene.frame.scene([self.at[0], self.at[1], ground + self.eye_m]);
        Pose {
            transform: Transform::from_translation(eye)
                .looking_to(direction(self.heading, self.dip), Vec3::Y),
            projection: lens(self.fov as f32, scene),
        }
    }
}

/// How far left of a heading the works in sight reach at their right and at their left, in radians.
fn reach_of_works(scene: &Scene, from: [f64; 2], heading: f64) -> [f64; 2] {
    let surface = scene.finished.surface();
    let (mut right, mut left) = (f64::INFINITY, f64::NEG_INFINITY);
    let (s, c) = libm::sincos(heading);
    for (idx, face) in surface.faces().iter().enumerate() {
        if face.tag.owner == 0 {
            continue;
        }
        for place in crate::scene::terrain::corner_places(surface, idx as u32) {
            let off = [place[0] - from[0], place[1] - from[1]];
            let angle = libm::atan2(off[1] * c - off[0] * s, off[0] * c + off[1] * s);
            if angle.abs() < 0.7 {
                right = right.min(angle);
                left = left.max(angle);
            }
        }
    }
    if right < left { [right, left] } else { [-0.3, 0.3] }
}

/// The scene's direction of a heading and a dip.
pub(crate) fn direction(heading: f64, dip: f64) -> Vec3 {
    let [east, north, up] = aim(heading, dip);
    Vec3::new(east as f32, up as f32, -north as f32)
}

/// What a first look should hold: the ground that works have changed.
pub(crate) struct Focus {
    pub middle: [f64; 3],
    pub radius_m: f64,
}

impl Focus {
    /// The changed ground of a scene, or all of it when nothing is changed.
    pub(crate) fn of(scene: &Scene) -> Self {
        let surface = scene.finished.surface();
        let mut low = [f64::INFINITY; 3];
        let mut high = [f64::NEG_INFINITY; 3];
        let changed = surface.faces().iter().enumerate().filter(|(_, face)| face.tag.owner != 0);
        for (idx, _) in changed {
            for place in crate::scene::terrain::corner_places(surface, idx as u32) {
                for axis in 0..3 {
                    low[axis] = low[axis].min(place[axis]);
                    high[axis] = high[axis].max(place[axis]);
                }
            }
        }
        if low[0] > high[0] {
            (low, high) = (scene.extent.low, scene.extent.high);
        }
        Self {
            middle: std::array::from_fn(|axis| 0.5 * (low[axis] + high[axis])),
            radius_m: (0.5 * libm::hypot(high[0] - low[0], high[1] - low[1])).max(1.0),
        }
    }
}

/// A lens that sees an angle from top to bottom, in radians, as far as a scene reaches.
pub(crate) fn lens(fov: f32, scene: &Scene) -> Projection {
    Projection::Perspective(PerspectiveProjection {
        fov,
        near: 0.08,
        far: (scene.extent.radius_m() as f32 * 30.0).max(600.0),
        ..default()
    })
}

fn middle(outline: &[[f64; 2]]) -> [f64; 2] {
    let n = outline.len().max(1) as f64;
    [0, 1].map(|i| outline.iter().map(|p| p[i]).sum::<f64>() / n)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_first_eye_looks_past_a_house_that_stands_before_the_works() {
        let focus = Focus { middle: [0.0, 8.0, 0.0], radius_m: 12.0 };
        let pane = Pane::bare([1600.0, 900.0]);
        let eaves: Vec<[f64; 3]> =
            (0..16).flat_map(|k| [-8.0, -4.0].map(|y| [f64::from(k) - 8.0, y, 2.7])).collect();
        let north = std::f64::consts::FRAC_PI_2;
        let free = BirdsEye::clear_of(&[], &focus, north, &pane);
        assert!((free.heading - north - 0.42).abs() < 1e-12);
        assert!(free.n_before(&eaves, &focus, &pane) > 0);
        let clear = BirdsEye::clear_of(&eaves, &focus, north, &pane);
        assert_eq!(clear.n_before(&eaves, &focus, &pane), 0);
    }

    #[test]
    fn turning_keeps_the_pivot_on_its_place_of_the_screen() {
        let eye = BirdsEye { at: [3.0, -4.0, 9.0], heading: 1.1, dip: 0.5 };
        let pivot = [5.0, 2.0, 1.0];
        let turned = eye.turned(pivot, 0.7, -0.2);
        let own = |eye: &BirdsEye| {
            axes(eye.heading, eye.dip)
                .map(|axis| (0..3).map(|i| axis[i] * (pivot[i] - eye.at[i])).sum::<f64>())
        };
        for (a, b) in own(&eye).into_iter().zip(own(&turned)) {
            assert!((a - b).abs() < 1e-12);
        }
    }
}
