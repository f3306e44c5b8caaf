//! The command line.

use std::path::PathBuf;

use clap::{Args, CommandFactory as _, Parser, Subcommand};
use clap_complete::Shell;
use exchange::points::Columns;
use exchange::unit_words;
use units::LengthUnit;

use crate::{Outcome, commands};

/// Plans garden water in three dimensions: ponds, streams and falls, the earth that moves and the
/// levels that must be right.
#[derive(Parser)]
#[command(
    name = "tarnwright",
    version,
    after_help = "\
Exit status: 0 done; 1 done, and findings stand that say stop; 2 bad input or usage; 130 called off
with Ctrl-C.

Planning help, not a design by a licensed person; local codes and the authority having jurisdiction
decide."
)]
pub(crate) struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Start a site from a survey: a point list, a level book or any other file of ground
    #[command(after_help = "\
Examples:
  tarnwright new garden --survey points.csv --units us-ft --lines BANK,EDGE --preview
  tarnwright new garden --survey levels.csv --units m --bench 25.000
  tarnwright new garden --survey survey.xml:Existing
  tarnwright new garden --survey scan.laz --error \"3 cm\" --boundary edge.csv

--preview says what is understood and what corrects it, and writes nothing.

A point list is any text table: a header names its columns (name,x,y,z,code or the trade's words for
them); without a header give their order with --columns. Codes with a number (BANK2) join across
other points, BANK+ begins a new line, BANK= closes one; a blank line ends a run.

A level book is told by its header, which names columns for backsights and foresights (such as
name,BS,IS,FS,known,distance,x,y,code). Rows with x and y become points of the ground.

LandXML, LAS and LAZ, GeoTIFF, plain grids (.asc) and GeoJSON become a LandXML file in the site's
folder: points, breaklines and outlines from which the file's own triangles come again. A file of
several surfaces wants one named, FILE:SURFACE. Clouds and grids are thinned once, so that no point
lies farther from the surface than --error, vertically.")]
    New(Box<New>),
    /// Open the 3D view; without a site, a window in which one is begun
    #[command(after_help = "Examples:\n  tarnwright view garden\n  tarnwright view")]
    View(View),
    /// Write numbers, findings, tables and pictures
    #[command(after_help = "\
Examples:
  tarnwright report garden
  tarnwright report garden --out garden/report
  tarnwright report garden --json | jq .earthwork.cut_bank_m3

--json prints SI units; a value that is not computed yet is null.")]
    Report(Report),
    /// Measure the volumes between two surfaces, or put two versions of a site side by side
    #[command(after_help = "\
Examples:
  tarnwright compare before.csv after.csv --units ft
  tarnwright compare survey.xml:Existing flight.laz --error \"2 cm\"
  tarnwright compare garden:existing garden:finished --json
  tarnwright compare garden garden-by-the-wall --out changes

Cut is where B lies below A; only the ground that both cover counts. Every format that convert reads
can be compared: triangles of a file are taken as they stand, grids post by post unless --error is
told, clouds thinned to --error. Sites and files with frames of their own are compared in the frame of
the first site; what is rounded to its lattice is said.

Two site folders are two versions: their numbers, their works, what lies between their finished
grounds, and the parameters that differ. --out draws the depth map of B less A. Their --json, in SI
units, lists A first and B second, and what is not known as null:
  versions[]: {name,title,cut_bank_m3,fill_compacted_m3,recut_m3,spoil_bank_m3,loads,water_m3,stop,look_at}
  works[]: {work,cut_m3[],fill_m3[]}
  between: {cut_m3,fill_m3,net_m3,cut_area_m2,fill_area_m2,common_area_m2,deepest_cut_m,highest_fill_m}
  parameters[]: {of,what,values[]}")]
    Compare(Box<Compare>),
    /// Find the least change of some numbers that reaches a goal
    #[command(after_help = "\
Examples:
  tarnwright balance garden --list
  tarnwright balance garden --free \"Lawn level from 49.60 to 49.90\" --goal no-spoil
  tarnwright balance garden --free \"Filter hill east shoulder from 0 to 3\" \\
      --free \"Filter hill flanks from 1 in 2 to 1 in 5\" --goal no-mound --goal no-truck -o drawn-out

A number is freed by its work and by what its card calls it, as far as that is clear, with its least
and its greatest value in the site's unit. What hangs on it goes along: a water level takes its liner
edge and the mouths of its streams, a lip the head of its stream.

The least change is the one whose squares add up to the least, each change divided by the room that
its number was given. No finding that says stop may come up that did not stand before. Numbers are
rounded to what a crew sets out: 5 mm, a quarter inch or 0.02 ft.

Goals: no-spoil, subsoil that is dug fills what is raised; spoil=VOLUME, so much is left over, in the
bank; no-truck, of subsoil and topsoil nothing lacks, and less is left than a tenth of a load;
no-mound, no hill begins to read as a mound; wall-tops-at-lip, walls that hold water stand as high as
the lip asks. A goal out of reach is said to be so, with what binds. --json, in SI units:
  {title,reached,effort,evaluations}, earth[] before and after, comes_up[] and goes[]: findings
  goals[]: {goal,reached,parts[]: {of,before,after,least,most},bound_by[],why_not}
  numbers[]: {number,from,to,least,most,bound}")]
    Balance(Balance),
    /// Convert a file of ground, or the grounds of a site, to another format
    #[command(after_help = "\
Examples:
  tarnwright convert survey.csv survey.xml --units us-ft
  tarnwright convert scan.laz ground.xml --error \"3 cm\" --classes 2
  tarnwright convert ground.xml contours.svg --interval \"0.5 ft\" --scale 120
  tarnwright convert ground.xml ground.tif --step \"0.5 m\" --to-units m
  tarnwright convert garden:finished finished.xml
  tarnwright convert garden garden.glb

What is read: point lists and level books, LandXML, LAS and LAZ, GeoTIFF, plain grids (.asc), GeoJSON.
What is written: .csv, .xml (LandXML), .las, .tif, .asc, .geojson, .glb (glTF), .svg and .pdf
(contours).
A site's folder gives existing ground, subgrade and finished ground, SITE:STAGE one of existing,
stripped, subgrade, liner and finished: for a machine, a viewer, a surveyor.
The file's own word on its unit counts; where it has none, tell it. Nothing is guessed.")]
    Convert(Box<Convert>),
    /// Lay a plan or an aerial on the ground of a site by known points
    #[command(after_help = "\
Examples:
  tarnwright drape garden --picture plan.png --pin \"120,340 = P12\" --pin \"980,60 = P47\"
  tarnwright drape garden --picture aerial.jpg --name \"From the air\" --pin \"210,180 = 5012.4,2088.1\" \\
      --pin \"1830,240 = 5061.0,2086.5\" --pin \"950,1320 = 5034.8,2052.7\"

The picture, a PNG or JPEG, is copied into the site's folder and shows in the view, on the ground that
stays and under what is drawn (Q shows it and puts it away). A known point is a place in the picture,
pixels right and down from its upper left corner as the file stores it, and where that is on the ground:
the name of a surveyed point, or easting and northing in the site's unit. Two points turn and scale the
picture; three or more stretch it too, and what turning and scaling alone would miss them by is said: a
point that is misread stands out. Draping a file again lays it anew.")]
    Drape(Drape),
    /// Draw a picture
    #[command(after_help = "\
Examples:
  tarnwright picture garden --from birds-eye -o garden.png
  tarnwright picture garden --from \"Kitchen window\" -o kitchen.png")]
    Picture(Picture),
    /// Print what a shell needs to complete commands and flags
    #[command(after_help = "\
Examples:
  tarnwright completions bash > ~/.local/share/bash-completion/completions/tarnwright
  tarnwright completions zsh > ~/.zfunc/_tarnwright
  tarnwright completions fish > ~/.config/fish/completions/tarnwright.fish")]
    Completions(Completions),
    /// Print the manual page
    #[command(after_help = "\
Examples:
  tarnwright manual | man -l -
  tarnwright manual > ~/.local/share/man/man1/tarnwright.1")]
    Manual,
}

#[derive(Args)]
pub(crate) struct Completions {
    /// bash, zsh, fish, elvish or powershell
    pub shell: Shell,
}

/// How to read a file of ground.
#[derive(Args, Clone, Default)]
pub(crate) struct ReadArgs {
    /// Unit, where the file tells none: m, ft (international), ft-in or us-ft (US survey)
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    pub units: Option<LengthUnit>,
    /// Unit of elevations, where it is another than that of places
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    pub z_units: Option<LengthUnit>,
    /// Order of the columns, such as name,x,y,z,code or nyxzc; goes before a header
    #[arg(long, value_name = "ORDER", value_parser = columns)]
    pub columns: Option<Columns>,
    /// Codes whose points join to breaklines
    #[arg(long, value_name = "CODES", value_delimiter = ',')]
    pub lines: Vec<String>,
    /// A LandXML file that tells easting before northing, against its schema
    #[arg(long, conflicts_with = "northing_first")]
    pub easting_first: bool,
    /// A cloud or GeoJSON that tells northing before easting, against its standard
    #[arg(long)]
    pub northing_first: bool,
    /// Classes of a cloud to keep; 2 is ground
    #[arg(long, value_name = "CLASSES", value_delimiter = ',')]
    pub classes: Option<Vec<u8>>,
    /// Largest vertical distance of any point of a cloud or grid from its surface: "3 cm"
    #[arg(long, value_name = "LENGTH")]
    pub error: Option<String>,
    /// Combined factor of the survey's grid, grid length over ground length: places in plan are
    /// divided by it
    #[arg(long, value_name = "FACTOR")]
    pub grid_factor: Option<f64>,
}

#[derive(Args)]
pub(crate) struct New {
    /// Folder of the new site; must not exist or be empty
    pub dir: PathBuf,
    /// Point list, level book or other file of ground; a surface of it as FILE:SURFACE
    #[arg(long, value_name = "FILE")]
    pub survey: PathBuf,
    /// Say what is understood of the survey, and write nothing
    #[arg(long)]
    pub preview: bool,
    /// Elevation of a level book's first mark, in the book's unit, where the book does not tell it
    #[arg(long, value_name = "ELEVATION", allow_negative_numbers = true)]
    pub bench: Option<String>,
    #[command(flatten)]
    pub read: ReadArgs,
    /// Breaklines: a point list in which blank lines, comments and codes part the lines
    #[arg(long, value_name = "FILE")]
    pub breaklines: Option<PathBuf>,
    /// Outline of the survey: a point list in order
    #[arg(long, value_name = "FILE", conflicts_with = "boundary_code")]
    pub boundary: Option<PathBuf>,
    /// Code whose points are the outline of the survey, in the order of the list
    #[arg(long, value_name = "CODE")]
    pub boundary_code: Option<String>,
    /// Outlines without ground: a point list in which blank lines part the outlines
    #[arg(long, value_name = "FILE", conflicts_with = "void_code")]
    pub voids: Option<PathBuf>,
    /// Code whose runs of points are outlines without ground
    #[arg(long, value_name = "CODE")]
    pub void_code: Option<String>,
    /// What people call the site
    #[arg(long)]
    pub title: Option<String>,
    /// Vertical accuracy of one shot, with its unit or in the survey's: "0.05 ft"
    #[arg(long, value_name = "LENGTH")]
    pub accuracy: Option<String>,
}

#[derive(Args)]
pub(crate) struct View {
    /// Folder of the site; without it the window offers to begin one
    pub site: Option<PathBuf>,
    /// Width and height of the window
    #[arg(long, value_name = "WxH", default_value = "1440x900", value_parser = size)]
    pub size: (u32, u32),
}

#[derive(Args)]
pub(crate) struct Report {
    /// Folder of the site
    pub site: PathBuf,
    /// Folder for report.json, works.csv, findings.csv, sheets (SVG, and one PDF) and pictures
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print JSON in SI units instead of plain words
    #[arg(long)]
    pub json: bool,
    /// For developers: print instead what evaluations found again and what they made anew
    #[arg(long, conflicts_with_all = ["out", "json"])]
    pub work_done: bool,
}

#[derive(Args)]
pub(crate) struct Compare {
    /// File of ground, a surface of it (FILE:SURFACE), a stage of a site (SITE: and existing, stripped, subgrade, liner or finished), or a version of a site
    pub a: String,
    /// Another of these
    pub b: String,
    #[command(flatten)]
    pub read: ReadArgs,
    /// Unit of B, where it is another than that told with --units
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    pub b_units: Option<LengthUnit>,
    /// Folder for depth-map.svg, which shows where two versions differ
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print JSON in SI units instead of plain words
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub(crate) struct Balance {
    /// Folder of the site
    pub site: PathBuf,
    /// A number that may change, with its least and its greatest value; may be given several times
    #[arg(long, value_name = "NUMBER", required_unless_present = "list")]
    pub free: Vec<String>,
    /// no-spoil, spoil=VOLUME, no-truck, no-mound or wall-tops-at-lip; may be given several times
    #[arg(long, value_name = "GOAL", required_unless_present = "list")]
    pub goal: Vec<String>,
    /// Print every number that can be freed, with what it is now
    #[arg(long, conflicts_with_all = ["free", "goal", "output", "json"])]
    pub list: bool,
    /// Folder for the edited site as a version of its own; must not exist or be empty
    #[arg(short, long, value_name = "DIR")]
    pub output: Option<PathBuf>,
    /// What people call that version
    #[arg(long, requires = "output")]
    pub title: Option<String>,
    /// Print JSON in SI units instead of plain words
    #[arg(long)]
    pub json: bool,
}

#[derive(Args)]
pub(crate) struct Convert {
    /// File to read, or a site: its folder, or SITE:STAGE
    pub input: PathBuf,
    /// File to write; its ending tells the format
    pub output: PathBuf,
    #[command(flatten)]
    pub read: ReadArgs,
    /// Unit of the file to write; that of the file read unless told
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    pub to_units: Option<LengthUnit>,
    /// Distance between the posts of a grid: "0.5 m"
    #[arg(long, value_name = "LENGTH")]
    pub step: Option<String>,
    /// Height between contours: "0.5 ft"
    #[arg(long, value_name = "LENGTH")]
    pub interval: Option<String>,
    /// Scale of a drawing, 1 to so many
    #[arg(long, value_name = "NUMBER")]
    pub scale: Option<f64>,
}

#[derive(Args)]
pub(crate) struct Picture {
    /// Folder of the site
    pub site: PathBuf,
    /// plan, depths, birds-eye, or the name of a viewpoint
    #[arg(long, value_name = "NAME")]
    pub from: String,
    /// Picture to write, a PNG file
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Width and height in pixels
    #[arg(long, value_name = "WxH", default_value = "1920x1080", value_parser = size)]
    pub size: (u32, u32),
}

#[derive(Args)]
pub(crate) struct Drape {
    /// Folder of the site
    pub site: PathBuf,
    /// PNG or JPEG
    #[arg(long, value_name = "FILE")]
    pub picture: PathBuf,
    /// RIGHT,DOWN in pixels = a surveyed point's name, or EAST,NORTH; two at least
    #[arg(long, value_name = "PIN", required = true)]
    pub pin: Vec<String>,
    /// What people call the picture; its file's name unless told
    #[arg(long)]
    pub name: Option<String>,
}

impl Cli {
    /// Does what the command line asks.
    pub(crate) fn run(self) -> anyhow::Result<Outcome> {
        match self.command {
            Command::New(asked) => commands::new::run(&asked),
            Command::View(asked) => commands::view::run(&asked),
            Command::Report(asked) => commands::report::run(&asked),
            Command::Compare(asked) => commands::compare::run(&asked),
            Command::Balance(asked) => commands::balance::run(&asked),
            Command::Convert(asked) => commands::convert::run(&asked),
            Command::Drape(asked) => commands::drape::run(&asked),
            Command::Picture(asked) => commands::picture::run(&asked),
            Command::Completions(asked) => commands::words::completions(&asked, Self::command()),
            Command::Manual => commands::words::manual(&Self::command()),
        }
    }
}

fn unit(text: &str) -> Result<LengthUnit, String> {
    unit_words::unit_of(text).ok_or_else(|| format!("expected {}", unit_words::EXPECTED))
}

fn columns(text: &str) -> Result<Columns, String> {
    Columns::given(text).map_err(|error| error.to_string())
}

/// Sides of a picture or a window, pixels: what every graphics adapter can hold.
const SIDES: std::ops::RangeInclusive<u32> = 16..=8192;

fn size(text: &str) -> Result<(u32, u32), String> {
    let side = |text: &str| text.trim().parse().ok().filter(|side| SIDES.contains(side));
    let parsed =
        text.split_once(['x', 'X']).and_then(|(width, height)| Some((side(width)?, side(height)?)));
    parsed.ok_or_else(|| {
        let (least, most) = (SIDES.start(), SIDES.end());
        format!("expected width x height in pixels, each {least} to {most}, such as 1920x1080")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_well_formed_and_every_command_shows_an_example() {
        let mut command = Cli::command();
        command.clone().debug_assert();
        for sub in command.get_subcommands_mut() {
            let help = sub.render_long_help().to_string();
            assert!(help.contains("Example"), "{help}");
        }
    }
}
