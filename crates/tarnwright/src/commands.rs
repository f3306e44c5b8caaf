//! One file per command.

pub(crate) mod balance;
pub(crate) mod compare;
pub(crate) mod convert;
pub(crate) mod drape;
pub(crate) mod new;
pub(crate) mod picture;
pub(crate) mod report;
pub(crate) mod view;
pub(crate) mod words;
