//! The files of the practice room: kits, styles and lessons, read with located faults and written to be diffed.

pub mod kit;
pub mod kit_facts;
pub mod reader;
