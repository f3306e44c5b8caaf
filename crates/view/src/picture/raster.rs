//! Paints paper and ink onto a picture in memory: what panels show, without a window.

use std::collections::BTreeMap;

use egui::epaint::{ClippedPrimitive, ImageData, ImageDelta, Mesh, Primitive, Vertex};
use egui::{Color32, ColorImage, Context, Rect, TextureId};
use image::RgbaImage;

use crate::theme;

type Textures = BTreeMap<TextureId, ColorImage>;

/// Shows `paint` over a picture that counts as so many points high.
pub(super) fn over(picture: &mut RgbaImage, points_high: f32, mut paint: impl FnMut(&Context)) {
    let scale = picture.height() as f32 / points_high;
    let ctx = Context::default();
    let mut textures = Textures::new();
    let screen = egui::vec2(picture.width() as f32 / scale, points_high);
    let mut pass = |ctx: &Context, paint: &mut dyn FnMut(&Context)| {
        let mut input = egui::RawInput {
            screen_rect: Some(Rect::from_min_size(egui::Pos2::ZERO, screen)),
            ..egui::RawInput::default()
        };
        input.viewports.entry(input.viewport_id).or_default().native_pixels_per_point = Some(scale);
        let mut shown = ctx.run_ui(input, |ui| paint(ui.ctx()));
        for (id, deltas) in &shown.textures_delta.set {
            for delta in deltas {
                take_in(&mut textures, *id, delta);
            }
        }
        shown.textures_delta.clear();
        shown.shapes
    };
    // Fonts are there from the pass after the one that names them, and areas know their size then.
    let _unseen = pass(&ctx, &mut |ctx| theme::install(ctx));
    let _sizing = pass(&ctx, &mut paint);
    let shapes = pass(&ctx, &mut paint);
    for ClippedPrimitive { clip_rect, primitive } in ctx.tessellate(shapes, scale) {
        if let Primitive::Mesh(mesh) = primitive
            && let Some(texture) = textures.get(&mesh.texture_id)
        {
            draw(picture, &mesh, texture, clip_rect, scale);
        }
    }
}

fn take_in(textures: &mut Textures, id: TextureId, delta: &ImageDelta) {
    let ImageData::Color(image) = &delta.image;
    match (delta.pos, textures.get_mut(&id)) {
        (Some([left, top]), Some(whole)) => {
            for row in 0..image.height() {
                for column in 0..image.width() {
                    whole[(left + column, top + row)] = image[(column, row)];
                }
            }
        }
        _ => {
            textures.insert(id, ColorImage::clone(image));
        }
    }
}

fn draw(picture: &mut RgbaImage, mesh: &Mesh, texture: &ColorImage, clip: Rect, scale: f32) {
    let clip = Rect::from_min_max(clip.min * scale, clip.max * scale);
    for corners in mesh.indices.chunks_exact(3) {
        let mut corners = [0, 1, 2].map(|i| {
            let mut vertex = mesh.vertices[corners[i] as usize];
            vertex.pos *= scale;
            vertex
        });
        if doubled_area(&corners) < 0.0 {
            corners.swap(1, 2);
        }
        triangle(picture, &corners, texture, clip);
    }
}

fn doubled_area([a, b, c]: &[Vertex; 3]) -> f32 {
    side(a, b, c.pos.x, c.pos.y)
}

/// Which side of the way from `a` to `b` a place is on; zero on it.
fn side(a: &Vertex, b: &Vertex, x: f32, y: f32) -> f32 {
    (b.pos.x - a.pos.x) * (y - a.pos.y) - (b.pos.y - a.pos.y) * (x - a.pos.x)
}

/// Fills the pixels whose middles a triangle holds; of two that share an edge only one holds it.
fn triangle(picture: &mut RgbaImage, corners: &[Vertex; 3], texture: &ColorImage, clip: Rect) {
    let area = doubled_area(corners);
    if area <= 0.0 {
        return;
    }
    let bounds = corners.iter().fold(Rect::NOTHING, |mut rect, corner| {
        rect.extend_with(corner.pos);
        rect
    });
    let bounds = bounds.intersect(clip);
    let end = |edge: f32, most: u32| (edge - 0.5).ceil().clamp(0.0, most as f32) as u32;
    let (columns, rows) = (
        end(bounds.left(), picture.width())..end(bounds.right(), picture.width()),
        end(bounds.top(), picture.height())..end(bounds.bottom(), picture.height()),
    );
    let edges = [[1, 2], [2, 0], [0, 1]].map(|[i, k]| (corners[i], corners[k]));
    let owns = edges.map(|(a, b)| a.pos.y > b.pos.y || (a.pos.y == b.pos.y && a.pos.x < b.pos.x));
    for y in rows {
        for x in columns.clone() {
            let (px, py) = (x as f32 + 0.5, y as f32 + 0.5);
            let shares = edges.map(|(a, b)| side(&a, &b, px, py));
            let holds = |i: usize| shares[i] > 0.0 || (shares[i] == 0.0 && owns[i]);
            if (0..3).all(holds) {
                let shares = shares.map(|share| share / area);
                blend(picture.get_pixel_mut(x, y), ink(corners, shares, texture));
            }
        }
    }
}

/// The premultiplied ink of a place within a triangle.
fn ink(corners: &[Vertex; 3], shares: [f32; 3], texture: &ColorImage) -> [f32; 4] {
    let mix = |of: &dyn Fn(&Vertex) -> f32| -> f32 {
        corners.iter().zip(shares).map(|(corner, share)| of(corner) * share).sum()
    };
    let (u, v) = (mix(&|c| c.uv.x), mix(&|c| c.uv.y));
    let texel = sample(texture, u, v);
    std::array::from_fn(|i| mix(&|c| f32::from(c.color.to_array()[i])) * texel[i] / 255.0)
}

/// The texture between the middles of its texels.
fn sample(texture: &ColorImage, u: f32, v: f32) -> [f32; 4] {
    let (x, y) = (u * texture.width() as f32 - 0.5, v * texture.height() as f32 - 0.5);
    let (left, top) = (x.floor(), y.floor());
    let (tx, ty) = (x - left, y - top);
    let at = |dx: f32, dy: f32| -> Color32 {
        let column = (left + dx).clamp(0.0, texture.width() as f32 - 1.0) as usize;
        let row = (top + dy).clamp(0.0, texture.height() as f32 - 1.0) as usize;
        texture[(column, row)]
    };
    let corners = [at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0), at(1.0, 1.0)].map(|c| c.to_array());
    let weights = [(1.0 - tx) * (1.0 - ty), tx * (1.0 - ty), (1.0 - tx) * ty, tx * ty];
    std::array::from_fn(|i| corners.iter().zip(weights).map(|(c, w)| f32::from(c[i]) * w).sum())
}

fn blend(pixel: &mut image::Rgba<u8>, ink: [f32; 4]) {
    let keep = 1.0 - ink[3] / 255.0;
    for (channel, ink) in pixel.0.iter_mut().zip(ink) {
        *channel = (f32::from(*channel) * keep + ink).round().clamp(0.0, 255.0) as u8;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_of_half_ink_is_laid_once_even_where_triangles_meet() {
        let mut picture = RgbaImage::from_pixel(80, 40, image::Rgba([255; 4]));
        over(&mut picture, 20.0, |ctx| {
            let painter = ctx.layer_painter(egui::LayerId::background());
            let rect = Rect::from_min_max(egui::pos2(5.0, 5.0), egui::pos2(35.0, 15.0));
            painter.rect_filled(rect, 0.0, Color32::from_black_alpha(128));
        });
        assert_eq!(picture.get_pixel(4, 4).0, [255; 4]);
        for (x, y) in [(14, 14), (40, 20), (30, 18), (64, 26)] {
            let [r, _, _, a] = picture.get_pixel(x, y).0;
            assert!((126..=128).contains(&r) && a == 255, "{r} at {x}, {y}");
        }
    }

    #[test]
    fn letters_leave_ink() {
        let mut picture = RgbaImage::from_pixel(120, 40, image::Rgba([255; 4]));
        over(&mut picture, 40.0, |ctx| {
            let painter = ctx.layer_painter(egui::LayerId::background());
            let font = theme::bold(theme::size::HEAD);
            let at = egui::pos2(60.0, 20.0);
            painter.text(at, egui::Align2::CENTER_CENTER, "10 ft", font, Color32::BLACK);
        });
        let dark = picture.pixels().filter(|pixel| pixel.0[0] < 80).count();
        assert!((60..900).contains(&dark), "{dark} dark pixels");
    }
}
