// Everything solid in the garden: one shader that knows each stuff by its number.
//
// A vertex carries its tint and openness to the sky (colour) and, in uv, a measure and the stuff's
// number. Every surface is broken by noise at two scales, a patch and a grain, so that nothing
// tiles; the grain fades where it is finer than a pixel.

#ifdef PLAIN
#import bevy_pbr::{
    forward_io::{VertexOutput, FragmentOutput},
    mesh_view_bindings::{view, fog},
}
#ifdef TONEMAP_IN_SHADER
#import bevy_core_pipeline::tonemapping::tone_mapping
#endif
#else
#import bevy_pbr::{
    forward_io::{VertexOutput, FragmentOutput},
    mesh_view_bindings::view,
    pbr_fragment::pbr_input_from_standard_material,
    pbr_functions::{apply_pbr_lighting, main_pass_post_lighting_processing},
}
#endif
#import tarnwright::sky::{SUN, hash_cell, value_noise, layered_noise}

struct Garden {
    // x: share of the colours, y: metres at the end of depths or heights, z: 1 for slopes and 2 for
    // heights, w: the level that heights are against
    show: vec4<f32>,
    // Colours of each stuff, linear.
    colours: array<vec4<f32>, 20>,
    // Depth colours from deepest cut to highest fill, linear.
    depths: array<vec4<f32>, 12>,
    // Slope colours from level to steep, linear; w: rise per run at which each ends.
    slopes: array<vec4<f32>, 8>,
}

@group(#{MATERIAL_BIND_GROUP}) @binding(100) var<uniform> garden: Garden;

const PLAIN_PAINT: i32 = 0;
const LAWN: i32 = 1;
const SOIL: i32 = 2;
const GRAVEL: i32 = 3;
const STONE: i32 = 4;
const MULCH: i32 = 5;
const PLANTED: i32 = 6;
const LEAF: i32 = 7;
const BED: i32 = 8;
const BEYOND: i32 = 9;
const LIT: i32 = 10;
const ROOF: i32 = 11;
const FOLIAGE: i32 = 12;
const GHOST: i32 = 13;
const BLADE: i32 = 14;
const PAVING: i32 = 15;
const ROLLED: i32 = 16;

struct Grain {
    colour: vec3<f32>,
    // Height field's slope along the ground's two axes.
    tilt: vec2<f32>,
    roughness: f32,
}

// How much of a grain of this size is left at a pixel of this footprint.
fn left(size: f32, footprint: f32) -> f32 {
    return 1.0 - smoothstep(0.35, 1.1, footprint / size);
}

// Brown for cut, teal for fill, in published steps; nothing where nothing moves.
fn depth_colour(rise: f32) -> vec3<f32> {
    let share = clamp(rise / garden.show.y, -1.0, 1.0);
    let place = (share * 0.5 + 0.5) * 10.0;
    let step = i32(clamp(floor(place + 0.5), 0.0, 10.0));
    return garden.depths[step].rgb;
}

// Share of the depth colours on this stuff: ground and what is laid on it, not what grows or stands.
fn painted(code: i32) -> f32 {
    return garden.show.x * f32(code != LEAF && code != BLADE && code != FOLIAGE && code != LIT && code != ROOF
        && code != BEYOND && code != PLAIN_PAINT && code != GHOST);
}

// How pale the ground is so far beyond the border.
fn pale_of(off: f32) -> f32 {
    return 0.30 + 0.70 * smoothstep(0.0, 4.0, off);
}

// The depth colours as published, only a little shaded by the ground's own slope, so that they can
// be read off the legend; ground that has not moved is paper.
fn depth_painted(rise: f32, normal: vec3<f32>) -> vec3<f32> {
    let moved = smoothstep(0.008, 0.02, abs(rise));
    let shade = 0.80 + 0.20 * clamp(dot(normal, SUN) / 0.4695, 0.0, 1.15);
    return mix(vec3(0.69, 0.66, 0.58), depth_colour(rise), moved) * shade;
}

// The class of the face's own slope, which no shared normal rounds off.
fn slope_painted(facet: vec3<f32>) -> vec3<f32> {
    let up = max(abs(facet.y), 1e-4);
    let rise = sqrt(max(1.0 - up * up, 0.0)) / up;
    var rank = 0;
    for (var k = 0; k < 7; k++) {
        rank += i32(rise > garden.slopes[k].w);
    }
    return garden.slopes[rank].rgb;
}

// How dark a line is that lies so far from here, in pixels.
fn inked(off: f32, breadth: f32) -> f32 {
    return 1.0 - smoothstep(breadth, breadth + 0.9, off);
}

// Heights against a level: below it brown and hatched, above it teal and dotted, so that a print in
// black and white tells them apart; the level itself is a line. Hatching keeps its gauge on the screen.
fn height_painted(world: vec3<f32>, normal: vec3<f32>) -> vec3<f32> {
    let up = world.y - garden.show.w;
    let shade = 0.80 + 0.20 * clamp(dot(normal, SUN) / 0.4695, 0.0, 1.15);
    let diagonal = world.x + world.z;
    let pixel = max(fwidth(diagonal), 1e-5);
    let gauge = exp2(ceil(log2(11.0 * pixel)));
    let stripe = abs(fract(diagonal / gauge) - 0.5) * gauge / pixel;
    let cell = (fract(world.xz / gauge) - vec2(0.5)) * gauge / pixel;
    let below = inked(stripe, 0.6);
    let above = inked(length(cell), 1.1);
    let edge = inked(abs(up) / max(fwidth(up), 1e-5), 1.0);
    let marked = max(select(above, below, up < 0.0) * 0.55, edge);
    return mix(depth_colour(up) * shade, vec3(0.012, 0.025, 0.022), marked);
}

// Depths, slopes or heights in colours, whichever show.
fn told(rise: f32, world: vec3<f32>, normal: vec3<f32>, facet: vec3<f32>) -> vec3<f32> {
    let ground = mix(depth_painted(rise, normal), slope_painted(facet), min(garden.show.z, 1.0));
    return mix(ground, height_painted(world, normal), max(garden.show.z - 1.0, 0.0));
}

// What is not painted while depth colours show, for eyes that take light as it is.
fn beside_depths(lit: vec3<f32>) -> vec3<f32> {
    return mix(lit, lit * 0.42, garden.show.x);
}

fn turn(p: vec2<f32>, angle: f32) -> vec2<f32> {
    let s = sin(angle);
    let c = cos(angle);
    return vec2(c * p.x - s * p.y, s * p.x + c * p.y);
}

// Slabs in courses of uneven breadth, each course shifted: how pale a slab is, and how much of a
// joint there is. What is left of the stuff's number tells how they lie.
fn slabs(p: vec2<f32>, mark: f32, px: f32) -> vec2<f32> {
    // The scene's z runs south: turning by the way itself lays courses along it.
    let q = turn(p, (mark - round(mark)) / 0.9 * 3.14159265);
    let row = floor(q.y / 0.60);
    let lot = hash_cell(vec2<i32>(i32(row), 71));
    let length = mix(0.62, 0.98, hash_cell(vec2<i32>(i32(row), 13)));
    let along = q.x / length + lot;
    let own = hash_cell(vec2<i32>(i32(floor(along)), i32(row)));
    let edge = vec2(fract(along) * length, fract(q.y / 0.60) * 0.60);
    let off = min(min(edge.x, length - edge.x), min(edge.y, 0.60 - edge.y));
    let joint = (1.0 - smoothstep(0.006, 0.006 + max(0.006, px), off)) * (0.35 + 0.65 * left(0.05, px));
    return vec2(own, joint);
}

#ifdef PLAIN

// What a software adapter can draw while someone drags: one patch and one grain.
fn plain_grain(mark: f32, p: vec2<f32>, base: vec3<f32>, px: f32, off: f32) -> vec3<f32> {
    let code = i32(mark + 0.5);
    let patches = value_noise(p * 0.45);
    // Grass is combed; the same one noise serves it.
    let grows = code == LAWN || code == BLADE || code == BEYOND;
    let combed = vec2(0.825 * p.x - 0.565 * p.y, 0.565 * p.x + 0.825 * p.y) * vec2(34.0, 15.0);
    let fine = value_noise(select(p * 11.0, combed, grows)) - 0.5;
    let keep = left(select(0.09, 0.055, grows), px);
    var colour = base * (0.72 + 0.26 * patches) * (1.0 + select(0.26, 0.34, grows) * fine * keep);
    if code == BEYOND {
        colour = mix(garden.colours[LAWN].rgb * (0.72 + 0.26 * patches), colour, pale_of(off));
    }
    if code == PLANTED {
        let cushion = smoothstep(0.40, 0.55, value_noise(p * 1.25 + 21.0));
        colour = mix(colour, vec3(0.125, 0.185, 0.062) * (0.9 + 0.4 * fine), cushion);
    }
    if code == PAVING {
        let slab = slabs(p, mark, px);
        colour = base * mix(0.86, 1.06, slab.x) * (1.0 + 0.10 * fine * left(0.09, px)) * (1.0 - 0.52 * slab.y);
    }
    return colour;
}

@fragment
fn fragment(in: VertexOutput) -> FragmentOutput {
    let code = i32(in.uv.y + 0.5);
    let world = in.world_position.xyz;
    let eye = view.world_position.xyz - world;
    let away = length(eye);
    // A pixel grows with distance; its slant is let go.
    let px = away * 0.0011;
    let normal = normalize(in.world_normal);
    let facet = normalize(cross(dpdx(world), dpdy(world)));
    let base = garden.colours[code].rgb * in.color.rgb;
    let colour = plain_grain(in.uv.y, world.xz, base, px, in.uv.x);
    let sun = max(dot(normal, SUN), 0.0) * mix(0.55, 1.0, in.color.a);
    let hemisphere = mix(vec3(0.62, 0.50, 0.36), vec3(0.92, 1.02, 1.16), normal.y * 0.5 + 0.5);
    var lit = colour * (vec3(2.55, 2.16, 1.62) * sun + 0.66 * hemisphere * mix(0.38, 1.0, in.color.a));
    lit = select(lit, base * 1.15, code == LIT);
    let veil = clamp((away - fog.be.x) / (fog.be.y - fog.be.x), 0.0, 1.0) * fog.base_color.a;
    lit = mix(lit, fog.base_color.rgb, veil);
    lit = mix(beside_depths(lit), told(in.uv.x, world, normal, facet), painted(code));
    var out: FragmentOutput;
    out.color = vec4(lit, select(1.0, 0.45 * in.color.a, code == GHOST));
#ifdef TONEMAP_IN_SHADER
    out.color = tone_mapping(out.color, view.color_grading);
#endif
    return out;
}

#else

// Cells around scattered seeds: distance to the nearest, to the border, and the cell's own number.
fn pebbles(p: vec2<f32>) -> vec3<f32> {
    let cell = vec2<i32>(floor(p));
    let f = fract(p);
    var near = 9.0;
    var second = 9.0;
    var own = 0.0;
    for (var y = -1; y <= 1; y++) {
        for (var x = -1; x <= 1; x++) {
            let c = cell + vec2(x, y);
            let h = hash_cell(c);
            let seed = vec2<f32>(f32(x), f32(y))
                + vec2(0.15 + 0.7 * h, 0.15 + 0.7 * hash_cell(c * 3 + vec2(71, 13))) - f;
            let d = dot(seed, seed);
            if d < near {
                second = near;
                near = d;
                own = h;
            } else if d < second {
                second = d;
            }
        }
    }
    return vec3(sqrt(near), sqrt(second) - sqrt(near), own);
}

// Noise on a surface of any slant, with no stretching.
fn around_noise(world: vec3<f32>, normal: vec3<f32>) -> f32 {
    let n = abs(normal);
    let w = n * n / max(dot(n, n), 1e-4);
    return value_noise(world.xz) * w.y + value_noise(world.xy + 31.0) * w.z
        + value_noise(world.zy + 57.0) * w.x;
}

// What is finer than a pixel is not reckoned: from the air most of the garden is.
fn lawn(p: vec2<f32>, base: vec3<f32>, px: f32) -> Grain {
    let patches = layered_noise(p * 0.33);
    let dry = layered_noise(p * 0.9 + 40.0);
    var colour = mix(base * vec3(0.62, 0.74, 0.70), base * vec3(0.98, 0.98, 0.88), smoothstep(0.25, 0.75, patches));
    colour = mix(colour, base * vec3(1.16, 1.00, 0.74), 0.45 * smoothstep(0.60, 0.85, dry));
    // Mowing shows near only.
    let stripe = sin(turn(p, 0.42).x * 6.2831853 / 1.1);
    colour *= 1.0 + 0.035 * clamp(stripe * 4.0, -1.0, 1.0) * left(0.5, px);
    let tuft_left = left(0.14, px);
    if tuft_left > 0.0 {
        let tufts = value_noise(p * 7.0) - 0.5;
        colour *= 1.0 + 0.20 * tufts * tuft_left;
    }
    var lean = vec2(0.0);
    let lean_left = left(0.05, px);
    if lean_left > 0.0 {
        lean = vec2(value_noise(p * 26.0) - 0.5, value_noise(p * 26.0 + 91.0) - 0.5) * 0.30 * lean_left;
    }
    let blade_left = left(0.03, px);
    if blade_left > 0.0 {
        let blades = value_noise(turn(p, 0.6) * vec2(55.0, 19.0)) + value_noise(turn(p, -0.9) * vec2(61.0, 23.0));
        colour *= 1.0 + (0.34 * (blades - 1.0)) * blade_left;
    }
    return Grain(colour, lean, 0.95);
}

fn soil(p: vec2<f32>, base: vec3<f32>, px: f32) -> Grain {
    let patches = layered_noise(p * 0.8);
    var colour = base * mix(0.80, 1.14, patches);
    let clods_left = left(0.11, px);
    if clods_left == 0.0 {
        return Grain(colour, vec2(0.0), 0.96);
    }
    let clods = layered_noise(p * 9.0);
    colour *= 1.0 + 0.34 * (clods - 0.5) * clods_left;
    let crumbs = value_noise(p * 42.0);
    colour *= 1.0 + 0.30 * (crumbs - 0.5) * left(0.025, px);
    let e = 0.04;
    let slope = vec2(layered_noise((p + vec2(e, 0.0)) * 9.0) - clods,
        layered_noise((p + vec2(0.0, e)) * 9.0) - clods) / e;
    return Grain(colour, slope * 0.05 * left(0.1, px), 0.96);
}

fn gravel(p: vec2<f32>, base: vec3<f32>, px: f32, size: f32) -> Grain {
    let patches = layered_noise(p * 0.7);
    var colour = base * (0.90 + 0.16 * value_noise(p * 2.3));
    var tilt = vec2(0.0);
    let keep = left(size, px);
    if keep > 0.0 {
        let cell = pebbles(p / size);
        let hue = mix(vec3(0.92, 0.95, 0.98), vec3(1.08, 1.02, 0.92), fract(cell.z * 7.31));
        let stone = base * hue * mix(0.76, 1.16, cell.z) * mix(0.58, 1.0, smoothstep(0.02, 0.26, cell.y));
        colour = mix(colour, stone, keep);
        tilt = vec2(hash_cell(vec2<i32>(i32(cell.z * 4096.0), 3)) - 0.5,
            hash_cell(vec2<i32>(i32(cell.z * 4096.0), 9)) - 0.5) * keep;
    }
    colour *= mix(0.90, 1.08, patches);
    let grit_left = left(0.016, px);
    if grit_left > 0.0 {
        colour *= 1.0 + 0.16 * (value_noise(p * 70.0) - 0.5) * grit_left;
    }
    return Grain(colour, tilt, 0.82);
}

fn mulch(p: vec2<f32>, base: vec3<f32>, px: f32) -> Grain {
    var colour = base;
    var tilt = vec2(0.0);
    let keep = left(0.04, px);
    if keep > 0.0 {
        let one = pebbles(turn(p, 0.7 + 2.0 * value_noise(p * 1.7)) * vec2(11.0, 34.0));
        let two = pebbles(turn(p, -0.6 - 2.0 * value_noise(p * 1.3 + 8.0)) * vec2(13.0, 38.0));
        let chip = select(two.z, one.z, one.x < two.x);
        colour *= mix(vec3(1.0), mix(vec3(0.55, 0.52, 0.50), vec3(1.55, 1.42, 1.25), chip), keep);
        tilt = (vec2(chip, fract(chip * 5.7)) - 0.5) * 0.8 * keep;
    }
    colour *= mix(0.82, 1.15, layered_noise(p * 0.9));
    return Grain(colour, tilt, 0.95);
}

fn planted(p: vec2<f32>, base: vec3<f32>, px: f32) -> Grain {
    var ground = mulch(p, base, px);
    // Creeping ground cover in cushions.
    let where_grown = layered_noise(p * 1.25 + 21.0);
    let cushion = smoothstep(0.36, 0.56, where_grown);
    let leaf = value_noise(p * 31.0);
    let kind = value_noise(p * 0.55 + 7.0);
    var green = mix(vec3(0.095, 0.165, 0.050), vec3(0.175, 0.215, 0.085), kind);
    green *= 1.0 + 0.75 * (leaf - 0.5) * left(0.035, px) + 0.4 * (where_grown - 0.5);
    ground.colour = mix(ground.colour, green, cushion);
    let lean = vec2(value_noise(p * 19.0) - 0.5, value_noise(p * 19.0 + 33.0) - 0.5);
    ground.tilt = mix(ground.tilt, lean * 1.3 * left(0.06, px), cushion);
    return ground;
}

// Two axes on which a surface of this slant is not stretched.
fn aslant(world: vec3<f32>, normal: vec3<f32>) -> vec2<f32> {
    let upright = select(world.zy, world.xy, abs(normal.z) > abs(normal.x));
    return select(world.xz, upright, abs(normal.y) < 0.6);
}

fn stone(world: vec3<f32>, normal: vec3<f32>, base: vec3<f32>, px: f32) -> Grain {
    let p = aslant(world, normal);
    let patches = layered_noise(p * 1.6 + world.y);
    var colour = base * mix(0.74, 1.16, patches);
    colour *= mix(vec3(1.05, 0.99, 0.92), vec3(0.94, 1.0, 1.06), value_noise(world.xz * 0.8 + world.y * 1.7));
    let crystals_left = left(0.018, px);
    if crystals_left > 0.0 {
        let crystals = value_noise(p * 85.0) + value_noise(p * 47.0 + 11.0);
        colour *= 1.0 + 0.26 * (crystals - 1.0) * crystals_left;
    }
    let seams = abs(layered_noise(p * vec2(3.0, 5.0) + 9.0) - 0.5);
    colour *= 1.0 - 0.28 * (1.0 - smoothstep(0.0, 0.035, seams)) * left(0.05, px);
    // Moss on the side away from the sun's path, and where a stone lies level.
    let shade = smoothstep(-0.1, 0.75, dot(normal, normalize(vec3(0.15, 0.45, -0.85))));
    let moss = smoothstep(0.50, 0.72, layered_noise(p * 4.3 + 2.0)) * shade;
    colour = mix(colour, vec3(0.118, 0.160, 0.050) * (0.8 + 0.5 * value_noise(p * 40.0)), 0.85 * moss);
    var slope = vec2(0.0);
    let slope_left = left(0.07, px);
    if slope_left > 0.0 {
        let e = 0.02;
        let h = layered_noise(p * 12.0);
        slope = vec2(layered_noise((p + vec2(e, 0.0)) * 12.0) - h,
            layered_noise((p + vec2(0.0, e)) * 12.0) - h) / e * 0.055 * slope_left;
    }
    return Grain(colour, slope, mix(0.80, 0.98, moss));
}

fn roof(world: vec3<f32>, base: vec3<f32>, px: f32) -> Grain {
    let row = world.y / 0.17;
    let shift = 0.5 * f32(i32(floor(row)) & 1);
    let along = (world.x + world.z) / 0.30 + shift;
    let tile = hash_cell(vec2<i32>(i32(floor(along)), i32(floor(row))));
    let keep = left(0.2, px);
    var colour = base * mix(1.0, mix(0.78, 1.18, tile), keep);
    colour *= mix(1.0, mix(0.62, 1.0, smoothstep(0.0, 0.25, fract(row))), keep);
    return Grain(colour * mix(0.9, 1.08, layered_noise(world.xz * 0.6)), vec2(0.0), 0.85);
}

// Ground that pales with every stride from the border: nobody has measured here.
fn beyond(p: vec2<f32>, base: vec3<f32>, px: f32, off: f32) -> Grain {
    var colour = base * mix(0.93, 1.06, layered_noise(p * 0.22));
    colour *= 1.0 + 0.10 * (value_noise(p * 3.1) - 0.5) * left(0.3, px);
    var near = lawn(p, garden.colours[LAWN].rgb, px);
    let pale = pale_of(off + 1.2 * (value_noise(p * 0.9) - 0.5));
    near.colour = mix(near.colour, colour, pale);
    near.tilt *= 1.0 - pale;
    return near;
}

// Sawn slabs, a little worn, with sanded joints.
fn paving(p: vec2<f32>, mark: f32, base: vec3<f32>, px: f32) -> Grain {
    let slab = slabs(p, mark, px);
    let hue = mix(vec3(1.04, 1.0, 0.94), vec3(0.96, 1.0, 1.05), fract(slab.x * 9.7));
    var colour = base * hue * mix(0.84, 1.08, slab.x) * mix(0.90, 1.08, layered_noise(p * 1.9));
    let pores = value_noise(p * 64.0) + value_noise(p * 23.0 + 5.0) - 1.0;
    colour *= 1.0 + 0.14 * pores * left(0.02, px);
    colour = mix(colour, vec3(0.21, 0.19, 0.15) * (0.8 + 0.4 * value_noise(p * 90.0)), 0.82 * slab.y);
    let lean = vec2(fract(slab.x * 5.3) - 0.5, fract(slab.x * 17.1) - 0.5);
    return Grain(colour, lean * 0.05, mix(0.72, 0.95, slab.y));
}

// Gravel and clay rolled firm: one even face with grit in it, paler where it is trodden.
fn rolled(p: vec2<f32>, base: vec3<f32>, px: f32) -> Grain {
    let worn = layered_noise(p * 0.9 + 3.0);
    var colour = base * mix(0.84, 1.14, worn);
    let grit = value_noise(p * 34.0);
    let fine = value_noise(p * 88.0 + 7.0);
    colour *= 1.0 + 0.22 * (grit - 0.5) * left(0.03, px) + 0.26 * (fine - 0.5) * left(0.012, px);
    let pebble = smoothstep(0.80, 0.90, value_noise(p * 27.0 + 41.0)) * left(0.035, px);
    colour = mix(colour, vec3(0.42, 0.37, 0.30), 0.6 * pebble);
    let lean = vec2(value_noise(p * 30.0) - 0.5, value_noise(p * 30.0 + 19.0) - 0.5);
    return Grain(colour, lean * 0.22 * left(0.04, px), 0.93);
}

fn grain_of(mark: f32, world: vec3<f32>, normal: vec3<f32>, base: vec3<f32>, px: f32, off: f32) -> Grain {
    let p = world.xz;
    let code = i32(mark + 0.5);
    switch code {
        case PAVING: { return paving(p, mark, base, px); }
        case ROLLED: { return rolled(p, base, px); }
        case LAWN, BLADE: { return lawn(p, base, px); }
        case SOIL: { return soil(aslant(world, normal), base, px); }
        case GRAVEL: { return gravel(p, base, px, 0.045); }
        case STONE: { return stone(world, normal, base, px); }
        case MULCH: { return mulch(p, base, px); }
        case PLANTED: { return planted(p, base, px); }
        case BED: { return gravel(select(p, vec2(p.x + p.y, world.y * 1.2), abs(normal.y) < 0.5), base, px, 0.06); }
        case BEYOND: { return beyond(p, base, px, off); }
        case ROOF: { return roof(world, base, px); }
        case FOLIAGE: {
            let leaves = around_noise(world * 2.6, normal);
            let fine = around_noise(world * 9.0, normal);
            let deep = smoothstep(0.25, 0.75, leaves);
            return Grain(base * mix(0.60, 1.22, deep) * (1.0 + 0.7 * (fine - 0.5) * left(0.16, px)),
                vec2(leaves - 0.5, fine - 0.5) * 1.6, 1.0);
        }
        default: { return Grain(base, vec2(0.0), 0.9); }
    }
}

@fragment
fn fragment(in: VertexOutput, @builtin(front_facing) is_front: bool) -> FragmentOutput {
    var pbr = pbr_input_from_standard_material(in, is_front);
    let code = i32(in.uv.y + 0.5);
    let world = in.world_position.xyz;
    let px = length(fwidth(world));
    let normal = normalize(pbr.world_normal);
    let facet = normalize(cross(dpdx(world), dpdy(world)));
    let base = garden.colours[code].rgb * in.color.rgb;
    let grain = grain_of(in.uv.y, world, normal, base, px, in.uv.x);
    var colour = grain.colour;

    let paint = painted(code);
    let open = in.color.a;
    pbr.material.base_color = vec4(colour, select(1.0, 0.45 * open, code == GHOST));
    pbr.material.perceptual_roughness = grain.roughness;
    pbr.material.reflectance = vec3(0.25);
    let tilt = grain.tilt * (1.0 - 0.7 * paint);
    var bent = normal;
    if abs(normal.y) > 0.25 {
        bent = normalize(normal - vec3(tilt.x, 0.0, tilt.y));
    } else {
        bent = normalize(normal - vec3(tilt.x * normal.z, tilt.y, tilt.x * normal.x));
    }
    pbr.N = bent;
    // Light from the whole sky: bluish from above, warm from the ground.
    let up = bent.y * 0.5 + 0.5;
    let hemisphere = mix(vec3(0.62, 0.50, 0.36), vec3(0.92, 1.02, 1.16), up);
    pbr.diffuse_occlusion = hemisphere * mix(0.38, 1.0, open);

    var out: FragmentOutput;
    if code == LIT {
        out.color = vec4(base * 1.15, 1.0);
    } else {
        out.color = apply_pbr_lighting(pbr);
        // Leaves let the low sun through.
        if code == LEAF || code == FOLIAGE {
            let toward_eye = normalize(view.world_position.xyz - world);
            let back = pow(max(dot(-toward_eye, SUN), 0.0), 3.0);
            out.color += vec4(colour * vec3(1.3, 1.25, 0.4) * back * 0.55 * open, 0.0);
        }
    }
    let bare = mix(beside_depths(out.color.rgb), told(in.uv.x, in.world_position.xyz, normal, facet), paint);
    out.color = main_pass_post_lighting_processing(pbr, vec4(bare, out.color.a));
    return out;
}

#endif
