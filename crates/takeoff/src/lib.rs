//! From plain quantities to bank, loose and compacted volumes, spoil, loads.
