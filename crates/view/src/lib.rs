//! The Bevy 3D view, one plugin per concern.
