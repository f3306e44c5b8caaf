// Water: darker with depth, the gravel showing at the edge, mirroring the sky at a low angle,
// white only where it falls.
//
// uv carries the depth in metres and how white the water is (0 smooth, 1 a falling sheet, of which
// the depth is its thickness); the vertex colour carries its velocity in its first two numbers.

#import bevy_pbr::{
    forward_io::{VertexOutput, FragmentOutput},
    mesh_view_bindings::{view, globals},
    pbr_fragment::pbr_input_from_standard_material,
    pbr_functions::main_pass_post_lighting_processing,
}
#import tarnwright::sky::{SUN, mirrored_colour, value_noise, layered_noise}

const SHALLOW: vec3<f32> = vec3<f32>(0.120, 0.190, 0.150);
const DEEP: vec3<f32> = vec3<f32>(0.010, 0.058, 0.060);

// The fastest water that the colour tells, metres a second; as in running.rs.
const FASTEST: f32 = 4.0;
// What is carried along starts anew after so many seconds, before neighbours at other speeds tear it.
const CARRIED: f32 = 1.1;

fn ripple(p: vec2<f32>, t: f32) -> f32 {
    return layered_noise(p * 2.1 + vec2(t * 0.22, t * 0.13)) + 0.6 * layered_noise(p * 5.3 - vec2(t * 0.31, t * 0.27));
}

// Where what is seen at a place now was when it last started, in two turns, and the second's share.
struct Carried {
    first: vec2<f32>,
    second: vec2<f32>,
    share: f32,
}

fn carried(at: vec2<f32>, velocity: vec2<f32>, t: f32) -> Carried {
    let turn = t / CARRIED + 0.35 * value_noise(at * 0.6);
    let first = fract(turn);
    let second = fract(turn + 0.5);
    var out: Carried;
    out.first = at - velocity * (first - 0.5) * CARRIED + 13.7 * floor(turn);
    out.second = at - velocity * (second - 0.5) * CARRIED + 7.3 * floor(turn + 0.5) + 31.0;
    out.share = abs(2.0 * first - 1.0);
    return out;
}

// Streaks along the way of the water: where its skin is stretched, and flecks of air.
fn streaks(p: vec2<f32>, way: vec2<f32>) -> f32 {
    let along = vec2(dot(p, way) * 3.2, dot(p, vec2(-way.y, way.x)) * 15.0);
    return 0.7 * value_noise(along) + 0.3 * value_noise(along * vec2(2.6, 1.9) + 9.1);
}

@fragment
fn fragment(in: VertexOutput, @builtin(front_facing) is_front: bool) -> FragmentOutput {
    var pbr = pbr_input_from_standard_material(in, is_front);
    let world = in.world_position.xyz;
    let eye = normalize(view.world_position.xyz - world);
    let t = globals.time;
    let depth = max(in.uv.x, 0.0);
    let falling = clamp(in.uv.y, 0.0, 1.0);
    let flow = (in.color.rg * 2.0 - 1.0) * FASTEST;
    let speed = length(flow);
    let way = flow / max(speed, 0.001);
    let moves = smoothstep(0.02, 0.20, speed);
    let at = carried(world.xz, flow, t);
    let px = length(fwidth(world));

#ifdef PLAIN
    let normal = vec3(0.0, 1.0, 0.0);
#else
    let e = 0.05;
    let first = ripple(at.first, t);
    let first_slope = vec2(ripple(at.first + vec2(e, 0.0), t), ripple(at.first + vec2(0.0, e), t)) - first;
    let second = ripple(at.second, t);
    let second_slope = vec2(ripple(at.second + vec2(e, 0.0), t), ripple(at.second + vec2(0.0, e), t)) - second;
    let calm = mix(0.011, 0.10, smoothstep(0.0, 1.2, speed)) * (1.0 - smoothstep(0.015, 0.12, px));
    let slope = mix(first_slope, second_slope, at.share) / e;
    let normal = normalize(vec3(-slope.x * calm, 1.0, -slope.y * calm));
#endif

    let facing = clamp(dot(normal, eye), 0.0, 1.0);
    let mirror = 0.03 + 0.97 * pow(1.0 - facing, 5.0);
    let bounced = reflect(-eye, normal);
    let sky = mirrored_colour(bounced);

    // The longer the way through the water, the less of the bed is left.
    let murk = 1.0 - exp(-2.6 * depth / max(eye.y, 0.30));
    var body = mix(SHALLOW, DEEP, smoothstep(0.05, 0.95, depth));
    body *= 0.85 + 0.30 * layered_noise(world.xz * 0.7);
    let glint = pow(max(dot(bounced, SUN), 0.0), 420.0) * 2.2;

    var colour = mix(body, sky, mirror) + vec3(1.0, 0.86, 0.62) * glint;
    var alpha = clamp(max(murk, mirror) + 0.10, 0.0, 0.97);
    // A thin bright line of wet where the water meets the shore.
    alpha *= smoothstep(0.0, 0.02, in.uv.x + 0.012);

    // Flecks and streaks on running water go with it, so that its speed is seen.
    let drawn = mix(streaks(at.first, way), streaks(at.second, way), at.share);
    let fine = 1.0 - smoothstep(0.02, 0.10, px);
    let fleck = moves * fine * (1.0 - smoothstep(0.2, 0.4, falling)) * smoothstep(0.56, 0.82, drawn);
    colour = mix(colour, colour * 1.5 + vec3(0.10, 0.11, 0.10), 0.55 * fleck);
    alpha = max(alpha, 0.42 * fleck);

    // Falling and hurried water carries air; a thin sheet breaks up into strands.
    let across = dot(world.xz, vec2(0.77, 0.64));
    let strand = vec2(across * 13.0, world.y * 2.2 + t * 3.1);
    let fallen = layered_noise(strand) * 0.7 + 0.3 * value_noise(strand * vec2(2.7, 1.3));
    let air = mix(drawn, fallen, smoothstep(0.5, 0.6, falling));
    let foam = falling * smoothstep(0.34, 0.78, air + 0.22 * falling);
    colour = mix(colour, vec3(0.86, 0.90, 0.90), 0.80 * foam);
    alpha = max(alpha * mix(1.0, 0.62, falling), 0.80 * foam);
    let whole = smoothstep(0.002, 0.011, depth);
    let gaps = smoothstep(0.62 - 0.50 * whole, 0.70 - 0.45 * whole, value_noise(vec2(across * 9.0, world.y * 0.5 + t * 0.4)));
    let curtain = smoothstep(0.28, 0.5, falling) * (1.0 - step(0.05, depth));
    alpha *= mix(1.0, max(gaps, whole), curtain * (1.0 - whole));

    var out: FragmentOutput;
    pbr.material.base_color = vec4(colour, alpha);
    out.color = main_pass_post_lighting_processing(pbr, vec4(colour, alpha));
    return out;
}
