//! The acceptance suite lives in `tests/tests`; this library holds what its files share.
