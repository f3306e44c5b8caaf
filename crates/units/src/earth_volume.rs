//! Volumes of earth by its state: in the bank, loose, compacted.
//!
//! The states never add to each other by mistake: each is a type of its own.

macro_rules! earth_volume {
    ($name:ident, $says:literal) => {
        #[doc = $says]
        ///
        /// Cubic metres; below zero where a balance says that earth is lacking.
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name {
            m3: f64,
        }

        impl $name {
            /// The volume of so many cubic metres.
            pub fn from_m3(m3: f64) -> Self {
                Self { m3 }
            }

            /// The volume in cubic metres.
            pub fn m3(self) -> f64 {
                self.m3
            }
        }
    };
}

earth_volume!(Bank, "A volume of earth as it lies undisturbed in the ground.");
earth_volume!(Loose, "A volume of earth as it lies dug, in a heap or a truck.");
earth_volume!(Compacted, "A volume of earth as it lies placed and compacted in a fill.");
