//! The viewpoint where one stands: its name, to be typed, and the way to let it go.

use egui::{TextEdit, Ui};
use site::{Edit, Site};

use crate::marks;
use crate::theme::{paper, size, text};

/// Shows the name of a viewpoint as a field; answers with the edit when it is renamed or let go.
pub(crate) fn viewpoint_ui(ui: &mut Ui, site: &Site, idx: usize) -> Option<Edit> {
    let place = site.viewpoints.get(idx)?;
    let id = ui.id().with(("viewpoint", idx));
    let typed = ui.data(|data| data.get_temp::<String>(id));
    let mut words = typed.unwrap_or_else(|| place.name.clone());
    let edit = TextEdit::singleline(&mut words)
        .font(text(size::SMALL))
        .text_color(paper::MARKING.ink())
        .desired_width(120.0);
    let field = ui.add(edit);
    marks::note(ui.ctx(), "viewpoint name", field.rect);
    if field.has_focus() {
        ui.data_mut(|data| data.insert_temp(id, words.clone()));
    }
    let mut answer = None;
    if field.lost_focus() {
        ui.data_mut(|data| data.remove::<String>(id));
        let name = words.trim();
        if !name.is_empty() && name != place.name {
            answer = Some(renamed(site, idx, name));
        }
    }
    let gone = ui.add(egui::Button::new("let go").frame(false));
    marks::note(ui.ctx(), "viewpoint let go", gone.rect);
    if gone.on_hover_text("Take this viewpoint out of the site; it can be undone").clicked() {
        answer = Some(without(site, idx));
    }
    answer
}

/// The edit that keeps one more viewpoint, under a name that no other has.
pub(crate) fn kept(site: &Site, place: site::Viewpoint) -> Edit {
    let mut viewpoints = site.viewpoints.clone();
    let is_free = |name: &String| site.viewpoints.iter().all(|other| other.name != *name);
    let first = viewpoints.len() + 1;
    let name = (first..first + viewpoints.len() + 1).map(|n| format!("View {n}")).find(is_free);
    viewpoints.push(site::Viewpoint { name: name.unwrap_or(place.name), ..place });
    Edit::SetViewpoints(viewpoints)
}

fn renamed(site: &Site, idx: usize, name: &str) -> Edit {
    let mut viewpoints = site.viewpoints.clone();
    if let Some(place) = viewpoints.get_mut(idx) {
        name.clone_into(&mut place.name);
    }
    Edit::SetViewpoints(viewpoints)
}

fn without(site: &Site, idx: usize) -> Edit {
    let mut viewpoints = site.viewpoints.clone();
    viewpoints.remove(idx);
    Edit::SetViewpoints(viewpoints)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kept_view_has_a_name_of_its_own_and_can_be_renamed_and_let_go() {
        let mut site = crate::demo::rear_garden();
        let n = site.viewpoints.len();
        let place = site::Viewpoint { name: String::new(), ..site.viewpoints[0].clone() };
        for _ in 0..2 {
            site = site::apply(&site, &kept(&site, place.clone())).unwrap();
        }
        let names: Vec<&str> = site.viewpoints.iter().map(|v| v.name.as_str()).collect();
        let mut unlike = names.clone();
        unlike.sort_unstable();
        unlike.dedup();
        assert_eq!((names.len(), unlike.len()), (n + 2, n + 2), "{names:?}");
        site = site::apply(&site, &renamed(&site, n, "From the swing")).unwrap();
        assert_eq!(site.viewpoints[n].name, "From the swing");
        site = site::apply(&site, &without(&site, n)).unwrap();
        assert_eq!(site.viewpoints.len(), n + 1);
    }
}
