// The sky as a function of where one looks, shared by the dome and by the water that mirrors it.

#define_import_path tarnwright::sky

const ZENITH: vec3<f32> = vec3<f32>(0.300, 0.640, 1.240);
const MIDDLE: vec3<f32> = vec3<f32>(0.900, 1.280, 1.640);
const HORIZON: vec3<f32> = vec3<f32>(1.900, 1.780, 1.500);
const GLOW: vec3<f32> = vec3<f32>(1.10, 0.72, 0.36);
const HEDGE: vec3<f32> = vec3<f32>(0.070, 0.105, 0.050);
// Toward the sun; the same as in light.rs.
const SUN: vec3<f32> = vec3<f32>(-0.7160, 0.4695, 0.5166);

fn hash_cell(p: vec2<i32>) -> f32 {
    var h = u32(p.x) * 374761393u + u32(p.y) * 668265263u;
    h = (h ^ (h >> 13u)) * 1274126177u;
    h = h ^ (h >> 16u);
    return f32(h & 0xffffu) / 65535.0;
}

fn value_noise(p: vec2<f32>) -> f32 {
    let cell = vec2<i32>(floor(p));
    let f = fract(p);
    let s = f * f * (3.0 - 2.0 * f);
    let south = mix(hash_cell(cell), hash_cell(cell + vec2(1, 0)), s.x);
    let north = mix(hash_cell(cell + vec2(0, 1)), hash_cell(cell + vec2(1, 1)), s.x);
    return mix(south, north, s.y);
}

fn layered_noise(p: vec2<f32>) -> f32 {
    return 0.57 * value_noise(p) + 0.29 * value_noise(p * 2.03 + 17.7)
        + 0.14 * value_noise(p * 4.11 + 5.3);
}

fn sky_colour(toward: vec3<f32>) -> vec3<f32> {
    let up = clamp(toward.y, 0.0, 1.0);
    var colour = mix(HORIZON, MIDDLE, smoothstep(0.0, 0.17, up));
    colour = mix(colour, ZENITH, smoothstep(0.10, 0.62, up));
    let sunward = max(dot(toward, SUN), 0.0);
    colour += GLOW * (0.16 * pow(sunward, 5.0) + 0.35 * pow(sunward, 48.0));
    // High thin cloud, stretched by the wind.
    let plane = toward.xz / (up + 0.16);
    let cloud = layered_noise(plane * vec2(0.9, 2.1) + 3.1);
    let veil = smoothstep(0.47, 0.80, cloud) * smoothstep(0.02, 0.14, up);
    return mix(colour, vec3(2.7, 2.6, 2.45), 0.55 * veil);
}

// What still water mirrors: sky above, the dark of hedges along the horizon.
fn mirrored_colour(toward: vec3<f32>) -> vec3<f32> {
    let sky = sky_colour(normalize(vec3(toward.x, max(toward.y, 0.02), toward.z)));
    let crown = 0.10 + 0.05 * value_noise(vec2(atan2(toward.x, toward.z) * 9.0, 0.5));
    let above = smoothstep(crown - 0.07, crown + 0.03, toward.y);
    return mix(mix(HEDGE, HORIZON, 0.09), sky, above);
}
