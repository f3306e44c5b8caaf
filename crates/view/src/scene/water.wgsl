// Water: darker with depth, the gravel showing at the edge, mirroring the sky at a low angle,
// white only where it falls.
//
// uv carries the depth in metres and how much the water falls (0 still, 1 a falling sheet); the
// vertex colour carries the way of the flow in its first two numbers.

#import bevy_pbr::{
    forward_io::{VertexOutput, FragmentOutput},
    mesh_view_bindings::{view, globals},
    pbr_fragment::pbr_input_from_standard_material,
    pbr_functions::main_pass_post_lighting_processing,
}
#import tarnwright::sky::{SUN, mirrored_colour, value_noise, layered_noise}

const SHALLOW: vec3<f32> = vec3<f32>(0.120, 0.190, 0.150);
const DEEP: vec3<f32> = vec3<f32>(0.010, 0.058, 0.060);

fn ripple(p: vec2<f32>, t: f32) -> f32 {
    return layered_noise(p * 2.1 + vec2(t * 0.22, t * 0.13)) + 0.6 * layered_noise(p * 5.3 - vec2(t * 0.31, t * 0.27));
}

@fragment
fn fragment(in: VertexOutput, @builtin(front_facing) is_front: bool) -> FragmentOutput {
    var pbr = pbr_input_from_standard_material(in, is_front);
    let world = in.world_position.xyz;
    let eye = normalize(view.world_position.xyz - world);
    let t = globals.time;
    let depth = max(in.uv.x, 0.0);
    let falling = clamp(in.uv.y, 0.0, 1.0);
    let flow = in.color.rg * 2.0 - 1.0;
    let px = length(fwidth(world));

#ifdef PLAIN
    let normal = vec3(0.0, 1.0, 0.0);
#else
    let p = world.xz - flow * t * 0.5;
    let e = 0.05;
    let h = ripple(p, t);
    let calm = mix(0.011, 0.085, clamp(length(flow), 0.0, 1.0)) * (1.0 - smoothstep(0.015, 0.12, px));
    let slope = vec2(ripple(p + vec2(e, 0.0), t) - h, ripple(p + vec2(0.0, e), t) - h) / e;
    let normal = normalize(vec3(-slope.x * calm, 1.0, -slope.y * calm));
#endif

    let facing = clamp(dot(normal, eye), 0.0, 1.0);
    let mirror = 0.03 + 0.97 * pow(1.0 - facing, 5.0);
    let bounced = reflect(-eye, normal);
    let sky = mirrored_colour(bounced);

    // The longer the way through the water, the less of the bed is left.
    let way = depth / max(eye.y, 0.30);
    let murk = 1.0 - exp(-way * 2.6);
    var body = mix(SHALLOW, DEEP, smoothstep(0.05, 0.95, depth));
    body *= 0.85 + 0.30 * layered_noise(world.xz * 0.7);
    let glint = pow(max(dot(bounced, SUN), 0.0), 420.0) * 2.2;

    var colour = mix(body, sky, mirror) + vec3(1.0, 0.86, 0.62) * glint;
    var alpha = clamp(max(murk, mirror) + 0.10, 0.0, 0.97);
    // A thin bright line of wet where the water meets the shore.
    alpha *= smoothstep(0.0, 0.02, in.uv.x + 0.012);

    // Falling and hurried water carries air.
    let along = vec2(dot(world.xz, vec2(0.77, 0.64)) * 13.0, world.y * 2.2 + t * 3.1);
    let streaks = layered_noise(along) * 0.7 + 0.3 * value_noise(along * vec2(2.7, 1.3));
    let foam = falling * smoothstep(0.34, 0.78, streaks + 0.22 * falling);
    colour = mix(colour, vec3(0.86, 0.90, 0.90), 0.80 * foam);
    alpha = max(alpha * mix(1.0, 0.62, falling), 0.80 * foam);

    var out: FragmentOutput;
    pbr.material.base_color = vec4(colour, alpha);
    out.color = main_pass_post_lighting_processing(pbr, vec4(colour, alpha));
    return out;
}
