//! Quantity newtypes and conversions; SI inside, feet and yards at the edges.
