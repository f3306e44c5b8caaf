//! The paper at the edges: plain functions that show and answer, without the engine.

pub(crate) mod balance;
#[cfg(test)]
pub(crate) mod bench;
pub(crate) mod beside;
pub(crate) mod card;
pub(crate) mod change;
pub(crate) mod control;
pub(crate) mod earth;
pub(crate) mod findings;
pub(crate) mod grid;
pub(crate) mod hill;
pub(crate) mod hint;
pub(crate) mod kept;
pub(crate) mod legend;
pub(crate) mod limits;
pub(crate) mod order;
pub(crate) mod palette;
pub(crate) mod pins;
pub(crate) mod plan;
pub(crate) mod play;
pub(crate) mod proposal;
pub(crate) mod pump;
pub(crate) mod question;
pub(crate) mod section;
mod settings;
pub(crate) mod sketch;
pub(crate) mod solver;
pub(crate) mod start;
pub(crate) mod strip;
pub(crate) mod tools;
pub(crate) mod viewpoint;
pub(crate) mod water;
pub(crate) mod words;
pub(crate) mod works;

#[cfg(test)]
mod tests;
