//! What the program does for a window: it keeps a site in its folder, and makes new ones.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use exchange::raster::Raster;
use exchange::understood::Understood;
use site::Site;
use units::LengthUnit;

/// Keeps a site in its folder.
pub trait Keep: Send + Sync {
    /// Writes the site.
    ///
    /// # Errors
    /// [`NotSaved`] says why the file stands as it was.
    fn save(&self, site: &Site, over: Over) -> Result<(), NotSaved>;
    /// Writes this window's own copy, which outlives a crash and touches no other window's.
    ///
    /// # Errors
    /// A sentence when it cannot be written.
    fn autosave(&self, site: &Site) -> Result<(), String>;
    /// Moves a copy that a crash has left to a name of its own, and answers with where it stands.
    ///
    /// # Errors
    /// A sentence when it cannot be moved.
    fn set_copy_aside(&self, copy: &LeftCopy) -> Result<String, String>;
    /// Makes what a crash has left this window's own copy.
    ///
    /// # Errors
    /// A sentence when that cannot be written; what was left stands then.
    fn take_copy(&self, copy: &LeftCopy, site: &Site) -> Result<(), String>;
    /// Takes this window's own copy away: nothing is unsaved any more.
    fn drop_copy(&self);
    /// Whether the survey's file is no longer what this window has read.
    fn has_survey_changed(&self) -> bool;
    /// Writes a site beside the file under a name of its own, and answers with where it stands.
    ///
    /// # Errors
    /// A sentence when it cannot be written.
    fn keep_beside(&self, site: &Site) -> Result<String, String>;
    /// Takes what the file was found to hold as what this window last saw in it.
    fn agree(&self);
    /// Writes a sheet to print under a name, and answers with where it stands.
    ///
    /// # Errors
    /// A sentence when it cannot be written.
    fn print(&self, name: &str, svg: &str) -> Result<String, String>;
    /// Reads a plan or an aerial of the site's folder.
    ///
    /// # Errors
    /// A sentence when it cannot be read.
    fn picture(&self, file: &str) -> Result<Raster, String>;
    /// Names under which [`Keep::version`] finds other versions of the site: folders beside its own that
    /// hold one, and what its own folder keeps of it.
    fn versions(&self) -> Vec<String>;
    /// Reads another version of the site, by one of these names or as the path of a folder.
    ///
    /// # Errors
    /// A sentence when it cannot be read.
    fn version(&self, name: &str) -> Result<Site, String>;
}

/// Over what a site is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Over {
    /// Over what this window last read or wrote.
    Own,
    /// Over what somebody else has written since, which is kept beside it.
    Others,
}

/// Why a site was not written.
#[derive(Clone, Debug, PartialEq)]
pub enum NotSaved {
    /// It could not be; why, in a sentence.
    Failed(String),
    /// Somebody else has changed the file since: what it holds now, or why that cannot be read.
    Changed(Result<Box<Site>, String>),
}

/// A site that a window is opened on.
#[derive(Clone)]
pub struct Opened {
    /// The site as read from its folder.
    pub site: Site,
    /// What the window is called after.
    pub folder_name: String,
    /// Keeps it.
    pub keep: Arc<dyn Keep>,
    /// What crashes have left, the newest first.
    pub copies: Vec<LeftCopy>,
}

/// A copy of unsaved work that a crash has left.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftCopy {
    /// The name of its file.
    pub name: String,
    /// The work, or why it cannot be read.
    pub site: Result<Box<Site>, String>,
    /// How long ago it was written, in words.
    pub age: String,
}

/// Makes new sites and opens those that stand.
pub trait Start: Send + Sync {
    /// The folder that is looked into first.
    fn first_folder(&self) -> PathBuf;
    /// What a folder holds: folders first, each by name; what is hidden is left out.
    ///
    /// # Errors
    /// A sentence when it cannot be read.
    fn list(&self, folder: &Path) -> Result<Vec<Entry>, String>;
    /// Opens the site in a folder.
    ///
    /// # Errors
    /// A sentence when there is none that can be read.
    fn open(&self, folder: &Path) -> Result<Opened, String>;
    /// What is understood of a survey, with nothing written.
    ///
    /// # Errors
    /// A sentence when it cannot be read as it was told.
    fn understand(&self, survey: &Told) -> Result<Understood, String>;
    /// Makes a site of a survey in a new folder, and opens it.
    ///
    /// # Errors
    /// A sentence when it cannot be made; nothing is left then.
    fn make(&self, survey: &Told, folder: &Path) -> Result<Opened, String>;
}

/// One thing in a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: EntryKind,
}

/// What a thing in a folder is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EntryKind {
    /// A folder that holds a site.
    Site,
    /// Any other folder.
    Folder,
    /// A file that may hold a survey, by the ending of its name.
    Survey,
}

/// A survey, and what a person has told about it; empty words tell nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Told {
    /// Where it comes from.
    pub source: Source,
    /// What people call the site.
    pub title: String,
    /// The unit of lengths.
    pub unit: Option<LengthUnit>,
    /// The order of columns: "nyxzc", or names parted by commas.
    pub columns: String,
    /// Codes whose points join to lines, parted by commas.
    pub lines: String,
    /// The elevation of a level book's first mark.
    pub bench: String,
    /// How far a thinned surface may lie from any point: "3 cm".
    pub error: String,
    /// Which comes first in a file's places.
    pub first: First,
    /// The datum of places, free text.
    pub horizontal_datum: String,
    /// The datum of elevations, free text.
    pub vertical_datum: String,
    /// Names of points that are set aside.
    pub set_aside: BTreeSet<String>,
}

/// Where a survey comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// A file.
    File(PathBuf),
    /// Text that was typed or pasted.
    Text(String),
    /// No survey yet: a plain slope.
    Slope(Slope),
}

/// A rectangle of ground that falls one way, where nothing is measured yet; lengths as typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slope {
    /// From west to east.
    pub east: String,
    /// From south to north.
    pub north: String,
    /// The level of its middle.
    pub level: String,
    /// Its fall in percent.
    pub percent: String,
    /// Whither it falls, of [`Slope::WAYS`].
    pub toward: usize,
}

/// Which comes first in a file's places.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum First {
    /// As the format's standard has it.
    #[default]
    Standard,
    /// Easting.
    Easting,
    /// Northing.
    Northing,
}

/// Writes down the names of the hints that were read.
pub type KeepRead = Arc<dyn Fn(&BTreeSet<String>) + Send + Sync>;

/// What a person has seen before, kept from one run to the next outside every site.
#[derive(Clone)]
pub struct Memory {
    /// Names of hints that have been read.
    pub read: BTreeSet<String>,
    /// Keeps them; what cannot be kept is shown again.
    pub keep: KeepRead,
}

impl Default for Source {
    fn default() -> Self {
        Self::Text(String::new())
    }
}

impl Default for Slope {
    fn default() -> Self {
        let [east, north, level, percent] = ["25 m", "30 m", "10 m", "2"].map(str::to_owned);
        Self { east, north, level, percent, toward: 4 }
    }
}

impl Slope {
    /// The ways in which ground may fall, by the compass, clockwise from north.
    pub const WAYS: [&'static str; 8] =
        ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
}

impl Default for Memory {
    fn default() -> Self {
        Self { read: BTreeSet::new(), keep: Arc::new(|_| ()) }
    }
}
