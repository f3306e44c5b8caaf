//! Heaps, carrying and trucks in plain words, in the site's own unit.

use std::fmt::Write as _;

use design::{Carried, Evaluation, Handling, HeapOutcome, Passing};
use site::earth::Heaped;
use site::{Site, Stockpile};
use units::{LengthUnit, area_text, earth_text, length_text, loads_text};

use super::STRING;

/// Volumes below this are not spoken of: they read as nought.
const SHOWN_M3: f64 = 0.005;

/// How the earth is handled; nothing where nothing is known of it.
pub(super) fn text(site: &Site, evaluation: &Evaluation) -> String {
    let Some(handling) = design::handling(site, evaluation) else { return String::new() };
    let unit = site.frame.unit;
    let rows = [
        heaps(site, &handling, unit),
        carries(&handling, unit),
        passing(&handling, unit).into_iter().collect(),
        trucks(&handling).into_iter().collect(),
    ];
    let rows = rows.concat();
    if rows.is_empty() {
        return String::new();
    }
    let mut out = "\nHeaped, carried and loaded\n".to_owned();
    for row in rows {
        writeln!(out, "  {row}").expect(STRING);
    }
    out
}

fn heaps(site: &Site, handling: &Handling, unit: LengthUnit) -> Vec<String> {
    let mut rows = Vec::new();
    let waiting = &handling.waiting;
    let volume = |m3: f64| earth_text(m3, unit);
    for (k, what, name) in
        [(0, Heaped::Topsoil, "topsoil"), (1, Heaped::Subsoil, "subsoil for a later work")]
    {
        if waiting.of(what) < SHOWN_M3 {
            continue;
        }
        let over_m3 = waiting.without_room_m3[k];
        let room = if over_m3 > 0.0 {
            format!("no room drawn for {} of it", volume(over_m3))
        } else {
            "all of it has room".to_owned()
        };
        rows.push(format!("{name}: {} loose must wait; {room}", volume(waiting.of(what))));
    }
    let piles = site.stockpiles.iter().zip(&handling.heaps);
    rows.extend(piles.map(|(pile, heap)| heap_text(pile, heap, unit)));
    rows
}

fn heap_text(pile: &Stockpile, heap: &HeapOutcome, unit: LengthUnit) -> String {
    let volume = |m3: f64| earth_text(m3, unit);
    if heap.holds_m3 < SHOWN_M3 {
        return format!("{}: empty, room for {}", pile.name, volume(heap.room_m3));
    }
    format!(
        "{}: {} of {} that fit, {} high on {}",
        pile.name,
        volume(heap.holds_m3),
        volume(heap.room_m3),
        length_text(heap.height_m, unit),
        area_text(heap.footprint_m2, unit)
    )
}

fn carries(handling: &Handling, unit: LengthUnit) -> Vec<String> {
    let row = |carry: &design::CarryOutcome| {
        let what = match carry.carried {
            Carried::TopsoilToHeap => "topsoil to its heaps",
            Carried::ToFill => "subsoil from dig to fill",
            Carried::ToTruck => "subsoil between the garden and the trucks",
        };
        let trips = if carry.trips == 1 { "trip" } else { "trips" };
        format!(
            "{what}: {} in the bank, {} on average, {} {trips}, {:.1} h of one carrier",
            earth_text(carry.bank_m3, unit),
            length_text(carry.distance_m, unit),
            carry.trips,
            carry.hours
        )
    };
    handling.carries.iter().map(row).collect()
}

fn passing(handling: &Handling, unit: LengthUnit) -> Option<String> {
    let passing: &Passing = handling.passing.as_ref().filter(|passing| passing.way_m > 0.0)?;
    let length = |length_m: f64| length_text(length_m, unit);
    let [narrowest, needed] = [passing.narrowest_m, passing.needed_m].map(length);
    let way = format!("the way in: {}, {narrowest} at its narrowest", length(passing.way_m));
    Some(match passing.passes() {
        true => format!("{way}; the carrier needs {needed} and passes"),
        false => format!("{way}; the carrier needs {needed} and does not pass"),
    })
}

fn trucks(handling: &Handling) -> Option<String> {
    let trucks = handling.trucks.as_ref()?;
    let kept_busy = match trucks.trucks {
        1 => "1 truck".to_owned(),
        n => format!("{n} trucks"),
    };
    Some(format!(
        "{}: {:.0} min under the machine each; with {kept_busy} {:.1} days of hauling",
        loads_text(trucks.loads),
        trucks.load_min,
        trucks.days
    ))
}
