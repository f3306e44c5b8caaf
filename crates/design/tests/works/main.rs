//! Every kind of work through closed forms: on level ground, turned, moved, on a slope and at the
//! survey's edge.

mod forms;
mod garden;
mod random;
mod slopes;
mod stages;
mod total;
mod versions;
