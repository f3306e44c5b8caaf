//! Every kind of work through closed forms: on level ground, turned, moved, on a slope and at the
//! survey's edge.

mod crossings;
mod forms;
mod garden;
mod handling;
mod held;
mod islands;
mod job;
mod joined;
mod kept;
mod paths;
mod pools;
mod random;
mod sections;
mod slopes;
mod stages;
mod total;
mod versions;
mod walls;
