//! Why there is no window or no picture.

/// Why a view could not be opened or a picture not made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ViewError {
    /// There is no screen to open a window on.
    #[error("there is no display to open a window on ({0}); run it where a desktop is shown")]
    NoDisplay(String),
    /// There is a screen, and it does not let this program in.
    #[error(
        "the display {0} does not let this program in; run it as the user who is logged in there, or let \
         XAUTHORITY name the file with that user's key"
    )]
    Refused(String),
    /// The libraries that a window needs do not stand, or refuse.
    #[error(
        "the libraries of a window are missing or refuse; install them (on Debian-like systems \
         libx11-6 libxcursor1 libxi6 libxrandr2 libxkbcommon-x11-0)"
    )]
    NoWindow,
    /// No graphics driver answers.
    #[error(
        "no graphics driver answers; install one (on Debian-like systems mesa-vulkan-drivers \
         draws in software)"
    )]
    NoAdapter,
    /// The site has no ground.
    #[error("the site has no ground to draw; see the findings on its survey")]
    NoGround,
    /// A viewpoint of this name does not stand in the site.
    #[error("no viewpoint is called \"{0}\"; the site has {1}")]
    NoViewpoint(String, String),
    /// A picture's size cannot be drawn.
    #[error("a picture of {0} by {1} pixels cannot be drawn; each side takes 16 to 8192")]
    Size(u32, u32),
    /// Drawing stopped before it was done.
    #[error("drawing stopped before it was done: {0}")]
    Lost(String),
}
