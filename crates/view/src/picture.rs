//! Pictures without a window: the same scene, drawn into an image.

mod raster;
mod session;
mod sheet;

use design::Evaluation;
use image::RgbaImage;
use site::Site;

use self::sheet::Sheets;
use crate::ViewError;
use crate::look::{Eye, Look, Pane, PlanEye, WalkEye};
use crate::scene::present::Switch;
use crate::scene::{self, Scene};

/// Where a picture is taken from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum From {
    /// Straight above, true to scale.
    Plan,
    /// Straight above, true to scale, with cut and fill in colours.
    Depths,
    /// The air, aslant.
    BirdsEye,
    /// A viewpoint of the site, by its name.
    Walk(String),
}

/// One picture to take.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PictureRequest {
    /// Where from.
    pub from: From,
    /// Width in pixels, 16 to 8192.
    pub width: u32,
    /// Height in pixels, 16 to 8192.
    pub height: u32,
}

/// Takes one picture of a site; see [`pictures`].
///
/// # Errors
/// Those of [`pictures`].
pub fn picture(
    site: &Site,
    evaluation: &Evaluation,
    request: &PictureRequest,
) -> Result<RgbaImage, ViewError> {
    let mut taken = pictures(site, evaluation, std::slice::from_ref(request))?;
    taken.pop().ok_or_else(|| ViewError::Lost("no picture came back".into()))
}

/// Takes pictures of a site, in the order asked for, without a window or a display.
///
/// # Errors
/// [`ViewError::NoAdapter`] without any graphics driver, [`ViewError::NoGround`] when the site has
/// no ground, [`ViewError::NoViewpoint`] and [`ViewError::Size`] for a request that cannot be met,
/// [`ViewError::Lost`] when drawing breaks off.
pub fn pictures(
    site: &Site,
    evaluation: &Evaluation,
    requests: &[PictureRequest],
) -> Result<Vec<RgbaImage>, ViewError> {
    for request in requests {
        let fits = |side| (16..=8192).contains(&side);
        if !fits(request.width) || !fits(request.height) {
            return Err(ViewError::Size(request.width, request.height));
        }
    }
    let scene = scene::scene(site, evaluation).ok_or(ViewError::NoGround)?;
    let shots = requests
        .iter()
        .map(|request| Shot::of(request, site, evaluation, &scene))
        .collect::<Result<Vec<_>, _>>()?;
    let device = crate::display::adapter_kind()?;
    let sheets = Sheets { site, evaluation, scene: scene.clone() };
    let mut taken = session::take(site, scene, shots.clone(), device)?;
    for (picture, shot) in taken.iter_mut().zip(&shots) {
        if shot.eye.look == Look::Plan {
            sheets.letter(picture, shot);
        }
    }
    Ok(taken)
}

#[derive(Clone)]
struct Shot {
    eye: Eye,
    depths: Switch,
    depth_end_m: f32,
    size: [u32; 2],
}

impl Shot {
    /// A plan marks what stays; a picture of the garden shows what people will see.
    fn keep_outs(&self) -> Switch {
        match (self.eye.look, self.depths) {
            (Look::Plan, Switch::Off) => Switch::On,
            _ => Switch::Off,
        }
    }

    fn of(
        request: &PictureRequest,
        site: &Site,
        evaluation: &Evaluation,
        scene: &Scene,
    ) -> Result<Self, ViewError> {
        let size = [request.width, request.height];
        let pane = Pane::bare(size.map(f64::from));
        let mut eye = Eye::first(site, scene, &pane);
        let mut depths = Switch::Off;
        match &request.from {
            From::Plan => eye.look = Look::Plan,
            From::Depths => {
                eye.look = Look::Plan;
                depths = Switch::On;
            }
            From::BirdsEye => eye.look = Look::BirdsEye,
            From::Walk(name) => {
                let viewpoint = site.viewpoints.iter().find(|v| v.name == *name);
                let viewpoint = viewpoint.ok_or_else(|| no_viewpoint(name, site))?;
                eye.look = Look::Walk;
                eye.walk = WalkEye::from_viewpoint(viewpoint, scene, &pane);
            }
        }
        eye.plan = PlanEye::whole(scene, &sheet::pane(size));
        let earth = &evaluation.earth;
        let end =
            scene::depth::scale_end_m(earth.deepest_cut_m, earth.highest_fill_m, site.frame.unit);
        Ok(Self { eye, depths, depth_end_m: end as f32, size })
    }
}

fn no_viewpoint(name: &str, site: &Site) -> ViewError {
    let names: Vec<&str> = site.viewpoints.iter().map(|v| v.name.as_str()).collect();
    let known = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
    ViewError::NoViewpoint(name.to_owned(), known)
}
