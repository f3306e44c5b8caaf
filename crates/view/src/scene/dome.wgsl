// The dome of the sky, drawn from within.

#import bevy_pbr::forward_io::VertexOutput
#import bevy_pbr::mesh_view_bindings::view
#import tarnwright::sky::sky_colour

#ifdef TONEMAP_IN_SHADER
#import bevy_core_pipeline::tonemapping::tone_mapping
#endif

@fragment
fn fragment(in: VertexOutput) -> @location(0) vec4<f32> {
    let toward = normalize(in.world_position.xyz - view.world_position.xyz);
    var colour = vec4(sky_colour(toward), 1.0);
#ifdef TONEMAP_IN_SHADER
    colour = tone_mapping(colour, view.color_grading);
#endif
    return colour;
}
