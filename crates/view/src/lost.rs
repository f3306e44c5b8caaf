//! When the graphics driver stops: what was not saved is kept, and one sentence says what happened.

use std::sync::{Arc, Mutex};

use bevy::app::AppExit;
use bevy::prelude::*;
use bevy::render::error_handler::{ErrorType, RenderError, RenderErrorHandler, RenderErrorPolicy};

use crate::document::safe::Safe;
use crate::document::{Document, Saving};

/// Why drawing ended, for whoever opened the view.
#[derive(Resource, Clone, Default)]
pub(crate) struct Lost(Arc<Mutex<Option<String>>>);

impl Lost {
    /// Why drawing ended, once it has.
    pub(crate) fn take(&self) -> Option<String> {
        self.0.lock().ok()?.take()
    }
}

/// Stops the program when the driver does, with nothing lost.
pub(crate) fn handler() -> RenderErrorHandler {
    RenderErrorHandler(|error, main_world, _| {
        end(error, main_world);
        RenderErrorPolicy::StopRendering
    })
}

/// Keeps what was not saved, says why, and ends the program.
fn end(error: &RenderError, world: &mut World) {
    let kept = keep(world);
    let why = match error.ty {
        ErrorType::DeviceLost => "the graphics driver stopped answering",
        ErrorType::OutOfMemory => "the graphics card ran out of memory",
        _ => "the graphics driver refused to go on",
    };
    if let Some(lost) = world.get_resource::<Lost>()
        && let Ok(mut said) = lost.0.lock()
    {
        *said = Some(format!("{why}; {kept}"));
    }
    world.write_message(AppExit::error());
}

/// Writes a copy of what was not saved; answers with what has become of the work.
fn keep(world: &mut World) -> &'static str {
    let Some(document) = world.get_resource::<Document>() else {
        return "nothing was open";
    };
    if document.is_saved() {
        return "all work is saved";
    }
    let site = document.site().clone();
    let keep = world.get_resource::<Saving>().map(|saving| saving.keep.clone());
    let Some(mut safe) = world.get_resource_mut::<Safe>() else {
        return "what was not saved could not be kept";
    };
    match keep.map(|keep| safe.keep_unsaved(&site, &*keep)) {
        Some(Ok(())) => "what was not saved is kept, and is open again when the site is",
        Some(Err(_)) | None => "what was not saved could not be kept",
    }
}

#[cfg(test)]
mod tests {
    use site::Edit;

    use super::*;
    use crate::document::{Ask, Held};
    use crate::{Keep, LeftCopy, NotSaved, Over};

    /// Notes the titles of the copies that it is given.
    struct Titles(Arc<Mutex<Vec<String>>>);

    impl Keep for Titles {
        fn save(&self, _: &site::Site, _: Over) -> Result<(), NotSaved> {
            Ok(())
        }

        fn autosave(&self, site: &site::Site) -> Result<(), String> {
            self.0.lock().map_err(|error| error.to_string())?.push(site.title.clone());
            Ok(())
        }

        fn take_copy(&self, _: &LeftCopy, _: &site::Site) -> Result<(), String> {
            Ok(())
        }
        fn has_survey_changed(&self) -> bool {
            false
        }
        fn set_copy_aside(&self, _: &LeftCopy) -> Result<String, String> {
            Err("nothing was left".into())
        }

        fn drop_copy(&self) {}

        fn keep_beside(&self, _: &site::Site) -> Result<String, String> {
            Err("nobody is beside".into())
        }

        fn agree(&self) {}

        fn print(&self, _: &str, _: &str) -> Result<String, String> {
            Err("no paper".into())
        }

        fn picture(&self, _: &str) -> Result<exchange::raster::Raster, String> {
            Err("no picture".into())
        }

        fn versions(&self) -> Vec<String> {
            Vec::new()
        }

        fn version(&self, _: &str) -> Result<site::Site, String> {
            Err("no version".into())
        }
    }

    #[test]
    fn a_driver_that_stops_costs_no_work() {
        let kept = Arc::new(Mutex::new(Vec::new()));
        let mut app = App::new();
        app.add_plugins((crate::schedule::plugin, crate::document::plugin))
            .add_message::<AppExit>()
            .init_resource::<Time<Real>>()
            .init_resource::<Lost>()
            .insert_resource(Document::opened(crate::demo::rear_garden()))
            .insert_resource(Saving { keep: Arc::new(Titles(kept.clone())) });
        let title = Box::new(Edit::SetTitle("Changed a moment ago".into()));
        app.world_mut().write_message(Ask::Edit(title, Held::Once));
        app.update();
        let error =
            RenderError { ty: ErrorType::DeviceLost, description: "gone".into(), source: None };
        end(&error, app.world_mut());
        assert_eq!(*kept.lock().unwrap(), ["Changed a moment ago"]);
        let said = app.world().resource::<Lost>().take().unwrap();
        assert!(said.contains("what was not saved is kept"), "{said}");
    }
}
