//! Plans and aerials on the ground: under what is to be built, on all that stays as it was.

use std::sync::Arc;

use bevy::asset::RenderAssetUsages;
use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::math::{Vec2, Vec3};
use bevy::prelude::*;
use bevy::render::render_resource::{Extent3d, TextureDimension, TextureFormat};
use bevy::tasks::{IoTaskPool, Task, block_on, poll_once};
use exchange::raster::Raster;
use site::{Fit, Picture};

use super::Piece;
use super::shape::{Corner, Shape};
use super::stuff::Stuff;
use super::terrain::{Lie, corner_places};
use crate::document::{Document, Notice, Saving};
use crate::frame::SceneFrame;
use crate::schedule::ViewSet;

/// A picture lies so far above its ground, metres: it is not to flicker with it.
const LIFT_M: f32 = 0.01;

/// No side of a picture is sent up longer, pixels: what every graphics adapter can hold.
const MOST_SIDE: u32 = 4096;

/// A corner of a face: east, north, up, and its place in the picture, right and down, in shares of its
/// sides.
type Draped = [f64; 5];

/// The pictures that were read, each with what draws it once it is there.
#[derive(Resource, Default)]
struct Drapes(Vec<Drape>);

struct Drape {
    file: String,
    size_px: [u32; 2],
    state: State,
}

enum State {
    Reading(Task<Result<Raster, String>>),
    Ready(Handle<StandardMaterial>),
    Failed,
}

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Drapes>();
    app.add_systems(Update, (read, dress).chain().in_set(ViewSet::Present));
}

/// The ground that no work has changed, as far as the picture lies on it.
pub(crate) fn shape(picture: &Picture, fit: &Fit, drawn: &Lie, frame: SceneFrame) -> Shape {
    let surface = drawn.surface();
    let [width, height] = picture.size_px.map(f64::from);
    let mut shape = Shape::default();
    for (idx, face) in surface.faces().iter().enumerate() {
        if face.tag.owner != 0 {
            continue;
        }
        let corners = corner_places(surface, idx as u32).map(|[x, y, z]| {
            let [right, down] = fit.in_picture([x, y]);
            [x, y, z, right / width, down / height]
        });
        put(&mut shape, &within(&corners), frame);
    }
    shape
}

/// What of a face lies in the picture.
fn within(corners: &[Draped]) -> Vec<Draped> {
    let inner: [fn(&Draped) -> f64; 4] = [|c| c[3], |c| 1.0 - c[3], |c| c[4], |c| 1.0 - c[4]];
    inner.into_iter().fold(corners.to_vec(), |piece, inner| clipped(&piece, inner))
}

/// The part of a convex piece where `inner` is not below zero.
fn clipped(piece: &[Draped], inner: fn(&Draped) -> f64) -> Vec<Draped> {
    let mut kept = Vec::with_capacity(piece.len() + 1);
    for (i, here) in piece.iter().enumerate() {
        let next = &piece[(i + 1) % piece.len()];
        let (a, b) = (inner(here), inner(next));
        if a >= 0.0 {
            kept.push(*here);
        }
        if (a < 0.0) != (b < 0.0) {
            let t = a / (a - b);
            kept.push(std::array::from_fn(|k| here[k] + (next[k] - here[k]) * t));
        }
    }
    kept
}

fn put(shape: &mut Shape, piece: &[Draped], frame: SceneFrame) {
    if piece.len() < 3 {
        return;
    }
    let names: Vec<u32> = (piece.iter())
        .map(|&[x, y, z, right, down]| {
            let at = frame.scene([x, y, z]) + Vec3::Y * LIFT_M;
            let mark = Vec2::new(right as f32, down as f32);
            shape.corner(Corner { mark, ..Corner::new(at, Vec3::Y, Stuff::Plain) })
        })
        .collect();
    for pair in names[1..].windows(2) {
        shape.triangle([names[0], pair[0], pair[1]]);
    }
}

/// Reads what the document names and nobody has read, off the main thread.
fn read(
    document: Res<Document>,
    saving: Option<Res<Saving>>,
    mut drapes: ResMut<Drapes>,
    mut images: ResMut<Assets<Image>>,
    mut materials: ResMut<Assets<StandardMaterial>>,
    mut notice: ResMut<Notice>,
) {
    let Some(saving) = saving else { return };
    for picture in &document.site().pictures {
        if drapes.of(picture).is_none() {
            let (keep, file) = (saving.keep.clone(), picture.file.clone());
            let task = IoTaskPool::get().spawn(async move { keep.picture(&file) });
            let (file, size_px) = (picture.file.clone(), picture.size_px);
            drapes.0.push(Drape { file, size_px, state: State::Reading(task) });
        }
    }
    for drape in &mut drapes.0 {
        let State::Reading(task) = &mut drape.state else { continue };
        let Some(read) = block_on(poll_once(task)) else { continue };
        drape.state = match read.and_then(|raster| fitting(raster, drape)) {
            Ok(raster) => State::Ready(materials.add(material(images.add(image(&raster))))),
            Err(why) => {
                notice.say(why);
                State::Failed
            }
        };
    }
}

/// Gives every draped piece its picture once that is read.
fn dress(
    mut commands: Commands,
    document: Res<Document>,
    drapes: Res<Drapes>,
    pieces: Query<(Entity, &Piece, Option<&MeshMaterial3d<StandardMaterial>>)>,
) {
    if drapes.0.is_empty() {
        return;
    }
    for (entity, piece, has) in &pieces {
        let Piece::Drape(idx) = piece else { continue };
        let picture = document.site().pictures.get(*idx);
        let drape = picture.and_then(|picture| drapes.of(picture));
        let Some(Drape { state: State::Ready(material), .. }) = drape else { continue };
        if has.is_none_or(|has| has.0 != *material) {
            let material = MeshMaterial3d(material.clone());
            commands.entity(entity).insert((material, NotShadowCaster, NotShadowReceiver));
        }
    }
}

impl Drapes {
    fn of(&self, picture: &Picture) -> Option<&Drape> {
        let is = |drape: &&Drape| drape.file == picture.file && drape.size_px == picture.size_px;
        self.0.iter().find(is)
    }
}

/// Pins count pixels: a picture of another size would lie elsewhere.
fn fitting(raster: Raster, drape: &Drape) -> Result<Raster, String> {
    let ([w, h], [width, height]) = (raster.size, drape.size_px);
    if raster.size == drape.size_px {
        return Ok(raster);
    }
    Err(format!(
        "{} is not draped: it has {w} x {h} pixels, and its known points were told for {width} x {height}",
        drape.file
    ))
}

/// The picture with smaller ones of itself, so that fine lines do not flicker from afar.
fn image(raster: &Raster) -> Image {
    let base = raster.shrunk(MOST_SIDE);
    let [width, height] = base.size;
    let n_levels = width.max(height).max(1).ilog2() + 1;
    let mut data = base.rgba.clone();
    let mut level = base;
    for _ in 1..n_levels {
        level = level.halved();
        data.extend(&level.rgba);
    }
    let size = Extent3d { width, height, depth_or_array_layers: 1 };
    let mut image = Image::new_uninit(
        size,
        TextureDimension::D2,
        TextureFormat::Rgba8UnormSrgb,
        RenderAssetUsages::RENDER_WORLD,
    );
    image.texture_descriptor.mip_level_count = n_levels;
    image.data = Some(data);
    image
}

/// Paper in plain daylight: a plan is read, not lit.
fn material(image: Handle<Image>) -> StandardMaterial {
    StandardMaterial {
        base_color_texture: Some(image),
        alpha_mode: AlphaMode::Mask(0.5),
        unlit: true,
        depth_bias: 1.0,
        ..default()
    }
}

impl super::Scene {
    /// Adds what is draped of the site's pictures.
    pub(super) fn add_pictures(&mut self, site: &site::Site) {
        for (idx, picture) in site.pictures.iter().enumerate() {
            let Ok(fit) = picture.fit() else { continue };
            let shape = shape(picture, &fit, &self.finished, self.frame);
            self.pieces.insert(Piece::Drape(idx), Arc::new(shape));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(piece: &[Draped]) -> f64 {
        let cross = |a: &Draped, b: &Draped| a[0] * b[1] - a[1] * b[0];
        0.5 * (0..piece.len()).map(|i| cross(&piece[i], &piece[(i + 1) % piece.len()])).sum::<f64>()
    }

    /// A face on which the picture's sides are easting and northing.
    fn face(places: [[f64; 2]; 3]) -> [Draped; 3] {
        places.map(|[x, y]| [x, y, 2.0 * x, x, y])
    }

    #[test]
    fn a_picture_ends_at_its_edge() {
        let whole = face([[0.1, 0.1], [0.9, 0.1], [0.5, 0.8]]);
        assert_eq!(within(&whole), whole);
        // The unit square lies within this face.
        let over = within(&face([[-2.0, -1.0], [4.0, -1.0], [0.0, 5.0]]));
        assert!((area(&over) - 1.0).abs() < 1e-12, "{over:?}");
        assert!(over.iter().all(|c| (c[2] - 2.0 * c[0]).abs() < 1e-12), "heights lie on the face");
        assert!(within(&face([[2.0, 0.0], [3.0, 0.0], [2.0, 1.0]])).len() < 3);
    }

    #[test]
    fn only_ground_that_stays_carries_the_picture() {
        let site = crate::demo::rear_garden();
        let evaluation = design::evaluate(&site);
        let pin = |at_px, at_m| site::Pin { at_px, at_m };
        // 400 m square: the whole garden lies on it.
        let picture = Picture {
            name: "Plan".into(),
            file: "plan.png".into(),
            size_px: [4000, 4000],
            pins: vec![pin([0.0, 0.0], [-200.0, 200.0]), pin([4000.0, 4000.0], [200.0, -200.0])],
        };
        let fit = picture.fit().unwrap();
        let draped = |surface: &Arc<ground::Surface>| {
            let lie = Lie::new(surface.clone());
            shape(&picture, &fit, &lie, SceneFrame::default()).n_triangles()
        };
        let (existing, finished) =
            (evaluation.existing.clone().unwrap(), evaluation.finished.clone().unwrap());
        assert_eq!(draped(&existing), existing.faces().len());
        let stays = finished.faces().iter().filter(|face| face.tag.owner == 0).count();
        assert!(stays > 0 && stays < finished.faces().len());
        assert_eq!(draped(&finished), stays);
    }

    #[test]
    fn a_picture_comes_with_all_its_smaller_ones() {
        let raster = Raster { size: [5, 3], rgba: vec![200; 60] };
        let image = image(&raster);
        assert_eq!(image.texture_descriptor.mip_level_count, 3);
        // 5 x 3, 2 x 1 and 1 x 1 pixels.
        assert_eq!(image.data.unwrap().len(), 4 * (15 + 2 + 1));
    }
}
