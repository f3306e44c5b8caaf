//! A plan draped on a garden by known points.

mod common;
