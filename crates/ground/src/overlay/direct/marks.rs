//! Where something changes along the edges of both surfaces.

use crate::surface::NONE;

/// A place on an edge at which the owner of the ground beside it may change.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mark {
    /// How far along the edge it lies, in the edge's own direction.
    pub(super) share: f64,
    pub(super) node: u32,
    pub(super) kind: Kind,
    /// The mark put before it on the same line.
    before: u32,
}

/// What makes a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// The zero line crosses the edge within this face of the other surface.
    Zero(u32),
    /// The edge crosses this line of the other surface, and one of the two is a border; beyond that
    /// of the other surface nothing is won.
    Border(u32),
    /// The edge is a border, and crosses this inner line of the other surface.
    Through(u32),
}

impl Kind {
    /// Whether won becomes lost here.
    pub(super) fn turns(self) -> bool {
        !matches!(self, Self::Through(_))
    }
}

/// All marks, by the line that they lie on.
#[derive(Debug)]
pub(super) struct Marks {
    latest: Vec<u32>,
    marks: Vec<Mark>,
}

impl Marks {
    /// No marks yet on so many lines.
    pub(super) fn on(n_lines: usize) -> Self {
        Self { latest: vec![NONE; n_lines], marks: Vec::new() }
    }

    pub(super) fn n_lines(&self) -> u32 {
        self.latest.len() as u32
    }

    pub(super) fn len(&self) -> usize {
        self.marks.len()
    }

    #[inline]
    pub(super) fn at(&self, mark: u32) -> &Mark {
        &self.marks[mark as usize]
    }

    /// Whether nothing changes along a line.
    #[inline]
    pub(super) fn is_bare(&self, line: u32) -> bool {
        self.latest[line as usize] == NONE
    }

    #[inline]
    pub(super) fn put(&mut self, line: u32, share: f64, node: u32, kind: Kind) -> u32 {
        let latest = &mut self.latest[line as usize];
        self.marks.push(Mark { share, node, kind, before: *latest });
        *latest = self.marks.len() as u32 - 1;
        *latest
    }

    #[inline]
    pub(super) fn find(&self, line: u32, kind: Kind) -> Option<u32> {
        self.along(line).find(|&mark| self.at(mark).kind == kind)
    }

    /// The marks on a line, in no order.
    #[inline]
    pub(super) fn along(&self, line: u32) -> impl Iterator<Item = u32> {
        let mut at = self.latest[line as usize];
        std::iter::from_fn(move || {
            let here = at;
            at = self.marks.get(here as usize)?.before;
            Some(here)
        })
    }

    /// Takes a mark off its line, and says at which node it stood.
    pub(super) fn take_off(&mut self, line: u32, kind: Kind) -> Option<u32> {
        let gone = self.find(line, kind)?;
        let before = self.at(gone).before;
        let above = self.along(line).find(|&mark| self.at(mark).before == gone);
        match above {
            Some(above) => self.marks[above as usize].before = before,
            None => self.latest[line as usize] = before,
        }
        Some(self.at(gone).node)
    }
}
