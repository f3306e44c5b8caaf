//! Files of surveyors, machines and viewers, through the shipped program: taken in by `new` and
//! `compare`, carried over by `convert`, shown by `--preview`, and refused with their place.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::path::Path;

use acceptance::{Ran, snapshot, tarnwright, top};
use serde_json::Value;
use tempfile::TempDir;

/// A lawn of 24 by 16 m that rises to the north, a bank across it, and an outline with a corner cut
/// out of it.
fn list() -> String {
    let mut text = "# units: m\n# lines: BANK\n# boundary: EDGE\nname,x,y,z,code\n".to_owned();
    let mut add = |x: f64, y: f64, z: f64, code: &str| {
        let number = text.lines().count();
        text.push_str(&format!("p{number},{},{},{z:.3},{code}\n", 400_000.0 + x, 5_000_000.0 + y));
    };
    for (x, y) in [(0.0, 0.0), (24.0, 0.0), (24.0, 16.0), (16.0, 16.0), (16.0, 11.0), (0.0, 11.0)] {
        add(x, y, 10.0 + 0.1 * y, "EDGE");
    }
    for k in 0..12 {
        let x = f64::from(k) * 2.0 + 1.0;
        add(x, 6.0 + 0.3 * libm::sin(x), 11.0, "BANK");
    }
    for i in 0..11 {
        for j in [1, 2, 4, 5] {
            let (x, y) = (2.0 * f64::from(i) + 1.5, 2.0 * f64::from(j) + 0.3 * f64::from(i % 3));
            add(x, y, 10.0 + 0.1 * y + 0.05 * libm::sin(x), "GS");
        }
    }
    text
}

/// A folder with the list.
fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("list.csv"), list()).unwrap();
    folder
}

fn done(at: &Path, words: &[&str]) -> Ran {
    let ran = tarnwright(at, words);
    assert!(matches!(ran.status, 0 | 1), "{words:?}: {ran:?}");
    ran
}

fn compared(at: &Path, words: &[&str]) -> Value {
    let ran = done(at, &[&["compare"], words, &["--json"]].concat());
    serde_json::from_str(&ran.out).unwrap()
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("{key}: {value}"))
}

/// Runs the words, expects a refusal that says all of `said`, and that no file is touched.
fn refused(at: &Path, words: &[&str], said: &[&str]) {
    let before = snapshot(at);
    let ran = tarnwright(at, words);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{words:?}: {ran:?}");
    for words in said {
        assert!(ran.err.contains(words), "{words:?} is not in {:?}", ran.err);
    }
    assert_eq!(snapshot(at), before, "{words:?} touched files");
}

/// What is refused in one place is refused wherever a file of ground is asked for.
fn refused_everywhere(at: &Path, file: &str, flags: &[&str], said: &[&str]) {
    refused(at, &[&["new", "garden", "--survey", file], flags].concat(), said);
    refused(at, &[&["new", "garden", "--preview", "--survey", file], flags].concat(), said);
    refused(at, &[&["convert", file, "out.xml"], flags].concat(), said);
    refused(at, &[&["compare", file, "list.csv"], flags].concat(), said);
}

/// Every format makes a site, and the site's ground is the ground of the file: nothing between them.
#[test]
fn every_format_makes_a_site_with_the_files_own_ground() {
    let folder = folder();
    let at = folder.path();
    done(at, &["convert", "list.csv", "list.xml"]);
    let names = ["list.geojson", "list.las", "list.laz", "list.tif", "list.asc"];
    for name in names {
        done(at, &["convert", "list.xml", name, "--step", "0.5 m"]);
    }
    for (name, flags) in [
        ("list.csv", &[][..]),
        ("list.xml", &[]),
        ("list.geojson", &[]),
        ("list.las", &["--error", "2 mm"]),
        ("list.laz", &["--error", "2 mm"]),
        ("list.tif", &["--error", "2 mm"]),
        ("list.asc", &["--error", "2 mm", "--units", "m"]),
    ] {
        let site = format!("site-of-{}", name.rsplit_once('.').unwrap().1);
        let ran = done(at, &[&["new", &site, "--survey", name], flags].concat());
        assert_eq!(ran.err, "", "what is piped shows no progress");
        let between = compared(at, &[&[name, &format!("{site}:existing")], flags].concat());
        // Rounding to another lattice moves a place by micrometres; the outline is 304 m2.
        assert!(
            number(&between, "cut_m3") + number(&between, "fill_m3") < 1e-3,
            "{name}: {between}"
        );
        let area = number(&between, "common_area_m2");
        let hull = matches!(name, "list.las" | "list.laz");
        assert!(if hull { area > 303.0 } else { (280.0..304.2).contains(&area) }, "{name}: {area}");
        // The folder needs nothing else: it is opened from another place.
        let moved = at.join(format!("moved-{site}"));
        fs::rename(at.join(&site), &moved).unwrap();
        done(at, &["report", moved.to_str().unwrap(), "--json"]);
    }
    // Grids, packed clouds and their plain brothers hold the same.
    let same = compared(at, &["list.tif", "list.asc", "--b-units", "m"]);
    assert_eq!(number(&same, "cut_m3") + number(&same, "fill_m3"), 0.0);
    let same = compared(at, &["list.las", "list.laz", "--error", "2 mm"]);
    assert_eq!(number(&same, "cut_m3") + number(&same, "fill_m3"), 0.0);
}

/// LandXML of a square of 10 m with one corner 3 m up, parted along a diagonal.
fn parted(faces: &str) -> String {
    format!(
        "<LandXML><Units><Metric linearUnit=\"meter\"/></Units><CoordinateSystem \
         horizontalDatum=\"Park grid\" verticalDatum=\"Quay\"/><Surfaces><Surface name=\"Lawn\">\
         <Definition surfType=\"TIN\"><Pnts><P id=\"1\">0 0 0</P><P id=\"2\">0 10 0</P>\
         <P id=\"3\">10 10 3</P><P id=\"4\">10 0 0</P></Pnts><Faces>{faces}</Faces></Definition>\
         </Surface></Surfaces></LandXML>"
    )
}

/// Four points on one circle: parted through the raised corner they enclose 2 x 50 x 3/3 = 100 m3
/// above level, parted beside it 50 m3. What tells the two apart is a file's own triangles.
#[test]
fn triangles_are_compared_as_they_stand_and_come_again_in_a_site() {
    let folder = folder();
    let at = folder.path();
    fs::write(at.join("through.xml"), parted("<F>1 2 3</F><F>1 3 4</F>")).unwrap();
    fs::write(at.join("beside.xml"), parted("<F>1 2 4</F><F>2 3 4</F>")).unwrap();
    for name in ["through", "beside"] {
        done(at, &["new", name, "--survey", &format!("{name}.xml")]);
    }
    let document = fs::read_to_string(at.join("through/site.ron")).unwrap();
    assert!(document.contains("Park grid") && document.contains("Quay"), "{document}");
    for [a, b] in [
        ["through.xml", "beside.xml"],
        ["through:existing", "beside:existing"],
        ["through:existing", "beside.xml"],
        ["through.xml:Lawn", "beside:existing"],
    ] {
        let between = compared(at, &[a, b]);
        let found = [number(&between, "cut_m3"), number(&between, "fill_m3")];
        assert!((found[0] - 50.0).abs() < 1e-6 && found[1].abs() < 1e-9, "{a} {b}: {found:?}");
    }
}

/// A cloud becomes a site with the error that was told; what was measured is said.
#[test]
fn a_cloud_is_thinned_once_to_the_error_that_is_told() {
    let folder = folder();
    let at = folder.path();
    let place = |k: u32| {
        let (x, y) = (f64::from(k % 200) * 0.1, f64::from(k / 200) * 0.1);
        [500.0 + x, 900.0 + y, 40.0 + libm::sin(x / 3.0) + 0.5 * libm::cos(y / 2.0)]
    };
    let points: Vec<[f64; 3]> = (0..40_000).map(place).collect();
    fs::write(at.join("scan.laz"), exchange::las::write_packed(&points, units::LengthUnit::Metre))
        .unwrap();
    refused(at, &["new", "scan", "--survey", "scan.laz"], &["scan.laz: ", "expected --error"]);
    refused(
        at,
        &["new", "scan", "--survey", "scan.laz", "--error", "3"],
        &["--error 3: read a number without a unit", "3 m or 3 ft"],
    );
    let ran = done(at, &["new", "scan", "--survey", "scan.laz", "--error", "3 cm"]);
    assert!(ran.out.contains("of 40000 points are kept; every place was measured"), "{}", ran.out);
    assert!(ran.out.contains("scan.laz: LAZ") && ran.out.contains("survey.xml"), "{}", ran.out);
    let text = fs::read_to_string(at.join("scan/survey.xml")).unwrap();
    assert!(text.contains("scan.laz, thinned to 3 cm"), "the original is named");
    // Measured here anew: every point of the cloud against the ground of the site's folder.
    done(at, &["convert", "scan/survey.xml", "back.tif", "--step", "0.1 m"]);
    let told = exchange::geotiff::Told::default();
    let grid =
        exchange::geotiff::read(&fs::read(at.join("back.tif")).unwrap(), &told).unwrap().grid;
    let grid = grid.unwrap();
    let [x0, y0] = grid.post_m(0, 0);
    let mut n_measured = 0;
    for [x, y, z] in points {
        let post = [x - x0, y - y0].map(|c| (c / 0.1).round());
        let height = grid.height_m(post[0].max(0.0) as usize, post[1].max(0.0) as usize);
        if let (true, Some(height)) = (post.iter().all(|c| *c >= 0.0), height) {
            n_measured += 1;
            assert!((height - z).abs() < 0.0302, "{x} {y}: {height} {z}");
        }
    }
    assert!(n_measured > 35_000, "{n_measured}");
}

/// What a machine is to dig and a viewer to show: the grounds of a site, with nothing between the file and
/// the site.
#[test]
fn the_grounds_of_a_site_are_written() {
    let folder = TempDir::new().unwrap();
    let at = folder.path();
    fs::create_dir(at.join("garden")).unwrap();
    for name in ["site.ron", "survey.csv"] {
        fs::copy(top().join("demo-sites/rear-garden").join(name), at.join("garden").join(name))
            .unwrap();
    }
    for stage in ["existing", "subgrade", "finished"] {
        let (of_site, file) = (format!("garden:{stage}"), format!("{stage}.xml"));
        // The sloped demo has a finding that says stop, and so does what is written of it.
        let ran = tarnwright(at, &["convert", &of_site, &file]);
        assert!(ran.status == 1 && ran.out.contains("1 finding says stop"), "{ran:?}");
        let between = compared(at, &[&of_site, &file]);
        let moved = number(&between, "cut_m3") + number(&between, "fill_m3");
        // Thousandths of a foot at most are lost in writing: 0.05 mm over 400 m2 is 0.02 m3.
        assert!(moved < 0.02, "{stage}: {between}");
        assert!(number(&between, "common_area_m2") > 300.0, "{stage}: {between}");
    }
    done(at, &["convert", "garden", "all.xml"]);
    for stage in ["existing", "subgrade", "finished"] {
        let between = compared(at, &[&format!("all.xml:{stage}"), &format!("{stage}.xml")]);
        assert_eq!(number(&between, "cut_m3") + number(&between, "fill_m3"), 0.0, "{between}");
    }
    done(at, &["convert", "garden", "all.glb"]);
    assert!(fs::read(at.join("all.glb")).unwrap().starts_with(b"glTF"));
    done(at, &["convert", "garden:finished", "plan.geojson", "--interval", "0.5"]);
    let plan: Value = serde_json::from_slice(&fs::read(at.join("plan.geojson")).unwrap()).unwrap();
    let told = |word: &str| {
        let features = plan["features"].as_array().unwrap();
        let is_told = |one: &&Value| one["properties"].to_string().contains(word);
        features.iter().filter(is_told).count()
    };
    assert!(told("liner edge") > 0 && told("contour") > 5 && told(", top") > 0);
    done(at, &["convert", "garden:subgrade", "dig.tif", "--step", "1"]);
    let said = ["garden: read the surfaces existing, subgrade, finished, expected the name of one"];
    refused(at, &["convert", "garden", "dig.csv"], &said);
    refused(
        at,
        &["convert", "garden:dug", "dig.csv"],
        &["read the stage `dug`, expected existing"],
    );
    refused(at, &["convert", "gone:finished", "a.xml"], &["gone: cannot be read"]);
}

/// The unpacker panics on some bytes. Nobody is shown that: the file is named, and what is wrong in it.
#[test]
fn a_damaged_cloud_is_told_in_words() {
    let folder = folder();
    let at = folder.path();
    // Cargo runs tests in their package's folder, whichever clone built them.
    let kept = Path::new("../crates/exchange/tests/data");
    let mut bytes = fs::read(kept.join("version-1-4.laz")).unwrap();
    bytes[5460..6260].reverse();
    fs::write(at.join("damaged.laz"), bytes).unwrap();
    let words = ["new", "garden", "--survey", "damaged.laz", "--units", "us-ft", "--error", "1 ft"];
    refused(at, &words, &["damaged.laz: ", "bytes that no points are packed as"]);
    assert!(!tarnwright(at, &words).err.contains("panicked"));
}

#[test]
fn which_surface_is_asked_for_and_named_behind_a_colon() {
    let folder = folder();
    let at = folder.path();
    let one = parted("<F>1 2 3</F><F>1 3 4</F>");
    let inner = one.split_once("<Surfaces>").unwrap().1.split_once("</Surfaces>").unwrap().0;
    let two = one.replace(inner, &format!("{inner}{}", inner.replace("Lawn", "Bed")));
    fs::write(at.join("two.xml"), two).unwrap();
    let said = ["two.xml: read the surfaces Lawn, Bed, expected the name of one", "FILE:NAME"];
    refused(at, &["new", "garden", "--survey", "two.xml"], &said);
    refused(at, &["compare", "two.xml", "list.csv"], &said);
    let said = ["two.xml: read no surface `Path`, expected one of Lawn, Bed"];
    refused(at, &["new", "garden", "--survey", "two.xml:Path"], &said);
    done(at, &["new", "garden", "--survey", "two.xml:Bed"]);
    let between = compared(at, &["two.xml:Lawn", "garden:existing"]);
    assert_eq!(number(&between, "cut_m3") + number(&between, "fill_m3"), 0.0);
}

/// Nobody guesses a unit: what is missing is asked for by the flag, what disagrees is refused.
#[test]
fn units_are_told_or_asked_for() {
    let folder = folder();
    let at = folder.path();
    done(at, &["convert", "list.csv", "list.xml"]);
    done(at, &["convert", "list.xml", "list.asc", "--step", "1 m"]);
    done(at, &["convert", "list.xml", "list.las", "--to-units", "us-ft"]);
    refused_everywhere(at, "list.asc", &["--error", "2 cm"], &["list.asc: the unit", "--units"]);
    let said = ["list.xml: line 3, column", "read the unit `meter`, expected us-ft as told"];
    refused(at, &["new", "garden", "--survey", "list.xml", "--units", "us-ft"], &said);
    let said = ["list.las: coordinate system: read the unit `us-ft`, expected ft as told"];
    let words = ["new", "garden", "--survey", "list.las", "--error", "1 ft", "--units", "ft"];
    refused(at, &words, &said);
    let text = fs::read_to_string(at.join("list.xml")).unwrap();
    let mixed = text.replace("linearUnit=\"meter\"", "linearUnit=\"meter\" elevationUnit=\"feet\"");
    fs::write(at.join("mixed.xml"), mixed).unwrap();
    let said = ["mixed.xml: line 3", "places in `meter` and elevations in `feet`", "--z-units"];
    refused_everywhere(at, "mixed.xml", &[], &said);
    let ran = done(at, &["new", "mixed", "--survey", "mixed.xml", "--z-units", "ft", "--preview"]);
    assert!(ran.out.contains("elevation: 3.") && ran.out.contains("unit: m"), "{}", ran.out);
    // Feet against metres: the same ground told in two units has nothing between.
    let bare = list().replace("# units: m\n", "");
    fs::write(at.join("bare.csv"), bare).unwrap();
    refused(at, &["compare", "list.xml", "bare.csv"], &["bare.csv: ", "--units"]);
    done(at, &["convert", "list.xml", "feet.xml", "--to-units", "ft"]);
    let between = compared(at, &["feet.xml", "list.asc", "--b-units", "m"]);
    assert!(number(&between, "common_area_m2") > 250.0, "{between}");
    assert!(number(&between, "cut_m3") + number(&between, "fill_m3") < 12.0, "{between}");
}

/// A survey told northing first is noticed, and the flag that is named puts it right.
#[test]
fn swapped_axes_are_noticed_and_put_right() {
    let folder = folder();
    let at = folder.path();
    done(at, &["convert", "list.csv", "list.xml"]);
    let turned: Vec<[f64; 3]> = exchange::points::read(list().as_bytes(), &Default::default())
        .unwrap()
        .points
        .iter()
        .map(|point| [point.at_m[1], point.at_m[0], point.at_m[2]])
        .collect();
    fs::write(at.join("t.las"), exchange::las::write(&turned, units::LengthUnit::Metre)).unwrap();
    let words = ["new", "garden", "--survey", "t.las", "--error", "1 mm", "--preview"];
    let ran = done(at, &words);
    for said in ["are they swapped?", "--northing-first"] {
        assert!(ran.out.contains(said), "{said:?} is not in {}", ran.out);
    }
    let ran = done(at, &[&words[..], &["--northing-first"]].concat());
    assert!(!ran.out.contains("swapped"), "{}", ran.out);
    assert!(ran.out.contains("easting: 400000.00 to 400024.00 m"), "{}", ran.out);
    refused(
        at,
        &["new", "garden", "--survey", "list.csv", "--northing-first"],
        &["list.csv: a point list has an order of columns, expected --columns"],
    );
}

/// Grid length over ground length: a factor of 0.999 makes 304 m2 of grid 304.6 m2 of ground.
#[test]
fn a_combined_factor_takes_places_from_the_grid_to_the_ground() {
    let folder = folder();
    let at = folder.path();
    done(at, &["convert", "list.csv", "list.xml"]);
    for name in ["list.csv", "list.xml"] {
        let area = |flags: &[&str]| {
            number(&compared(at, &[&[name, name], flags].concat()), "common_area_m2")
        };
        let grown = area(&["--grid-factor", "0.999"]) / area(&[]);
        assert!((grown - 1.0 / (0.999 * 0.999)).abs() < 1e-6, "{name}: {grown}");
        let site = format!("ground-{}", &name[5..]);
        done(at, &["new", &site, "--survey", name, "--grid-factor", "0.999"]);
        let words = [name, &format!("{site}:existing"), "--grid-factor", "0.999"];
        let between = compared(at, &words);
        assert!(number(&between, "cut_m3") + number(&between, "fill_m3") < 1e-3, "{between}");
    }
    refused_everywhere(at, "list.xml", &["--grid-factor", "3.28"], &["combined factor 3.28"]);
}

/// What is understood is said, with what corrects it, and nothing is written.
#[test]
fn a_preview_says_what_is_understood_and_writes_nothing() {
    let folder = folder();
    let at = folder.path();
    done(at, &["convert", "list.csv", "list.xml"]);
    for name in ["list.geojson", "list.las", "list.tif", "list.asc"] {
        done(at, &["convert", "list.xml", name, "--step", "0.5 m"]);
    }
    fs::write(
        at.join("book.csv"),
        "name,BS,IS,FS,known,x,y\nBM,1.2,,,50,0,0\nA,,1.1,,,9,0\nB,,1.3,,,9,9\nBM,,,1.2,50,,\n",
    )
    .unwrap();
    let before = snapshot(at);
    let extent = ["easting: 400000.00 to 400024.00 m, 24.00 in all", "elevation: 10.", "unit: m"];
    for (name, flags, said) in [
        (
            "list.csv",
            &[][..],
            &["columns name,x,y,z,code", "--columns", "BANK 12", "1 from the codes BANK", "EDGE"][..],
        ),
        (
            "list.xml",
            &[],
            &["surface ground", "triangles", "1 of the kind breakline", "datum: not told"],
        ),
        ("list.geojson", &[], &["GeoJSON", "points: 62", "1 of the kind boundary"]),
        ("list.las", &[], &["class 2, ground: ", "--classes", "must be told; --error"]),
        ("list.tif", &["--error", "1 cm"], &["by 33 posts", "0.500 by 0.500 m", "ground: "]),
        ("list.asc", &["--units", "m"], &["without a height", "--units", "--error"]),
    ] {
        let words = ["new", "nowhere", "--preview", "--survey", name];
        let ran = done(at, &[&words[..], flags].concat());
        let closing = "Nothing is written. Without --preview this starts a site in nowhere.";
        for said in said.iter().chain(&extent).chain(&[closing]) {
            assert!(ran.out.contains(said), "{name}: {said:?} is not in {}", ran.out);
        }
        assert_eq!(snapshot(at), before, "{name}");
    }
    let words = ["new", "nowhere", "--preview", "--survey", "book.csv", "--units", "m"];
    let ran = done(at, &words);
    assert!(ran.out.contains("book.csv: a level book, "), "{}", ran.out);
    // A stray, a point told twice and a list that is thin are pointed at.
    let odd =
        "name,x,y,z\na,0,0,1\nb,40,0,1\nc,40,40,2\nd,0,40,2\ne,20,20,3\ne,20,20,3.5\nf,9000,0,1\n";
    fs::write(at.join("odd.csv"), odd).unwrap();
    let words = ["new", "nowhere", "--preview", "--survey", "odd.csv", "--units", "ft"];
    let ran = done(at, &words);
    for said in ["the name e stands on line 6", "at the place of point e", "point f stands", "thin"]
    {
        assert!(ran.out.contains(said), "{said:?} is not in {}", ran.out);
    }
}

#[test]
fn bad_files_are_refused_with_their_place_and_nothing_is_written() {
    let folder = folder();
    let at = folder.path();
    done(at, &["convert", "list.csv", "list.xml"]);
    done(at, &["convert", "list.xml", "list.las"]);
    done(at, &["convert", "list.xml", "list.laz"]);
    done(at, &["convert", "list.xml", "list.tif", "--step", "1 m"]);
    let write = |name: &str, bytes: &[u8]| fs::write(at.join(name), bytes).unwrap();
    let read = |name: &str| fs::read(at.join(name)).unwrap();
    let cloud = ["--error", "1 cm"];
    // Cut within the header, and before the first point.
    write("cut.las", &read("list.las")[..200]);
    refused_everywhere(
        at,
        "cut.las",
        &cloud,
        &["cut.las: byte 200, header: read the end of the file"],
    );
    let at_points = 227 + 54 + 40;
    write("empty.las", &read("list.las")[..at_points]);
    refused_everywhere(
        at,
        "empty.las",
        &cloud,
        &["empty.las: byte 321, points: read the end of the file", "expected at least one"],
    );
    // An offset that points beyond the file.
    let mut lying = read("list.las");
    lying[96..100].copy_from_slice(&u32::MAX.to_le_bytes());
    write("offset.las", &lying);
    refused_everywhere(
        at,
        "offset.las",
        &cloud,
        &["offset.las: byte 96, offset to points: read 4294967295"],
    );
    // Entities are not expanded.
    let text = fs::read_to_string(at.join("list.xml")).unwrap();
    let bomb = text.replacen(
        "<LandXML",
        "<!DOCTYPE l [<!ENTITY a \"aaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;\">]>\n<LandXML",
        1,
    );
    write("bomb.xml", bomb.as_bytes());
    refused_everywhere(at, "bomb.xml", &[], &["bomb.xml: line 2, column 1", "no document type"]);
    let face = text.replacen("<F", "<F>1 2 999999</F><F", 1);
    write("face.xml", face.as_bytes());
    refused_everywhere(at, "face.xml", &[], &["face.xml: line ", "read `999999`, expected the id"]);
    // A grid that claims more than there is.
    let grid =
        "ncols 100000000\nnrows 100000000\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n4 5 6\n";
    write("wide.asc", grid.as_bytes());
    refused_everywhere(
        at,
        "wide.asc",
        &["--units", "m", "--error", "1 cm"],
        &["wide.asc: ", "expected"],
    );
    write("word.asc", b"ncols 2\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2\n3 four\n");
    refused_everywhere(
        at,
        "word.asc",
        &["--units", "m", "--error", "1 cm"],
        &["word.asc: line 7, column 3: read `four`, expected a height"],
    );
    write("cut.tif", &read("list.tif")[..100]);
    refused_everywhere(
        at,
        "cut.tif",
        &cloud,
        &["cut.tif: head: read the end of the file, expected a TIFF"],
    );
    write("degrees.geojson", b"{\"type\":\"Point\",\"coordinates\":[8.5,47.3,400]}");
    refused_everywhere(
        at,
        "degrees.geojson",
        &[],
        &["degrees.geojson: the unit", "degrees", "--units"],
    );
    write("cut.geojson", b"{\"type\":\"FeatureCollection\",\"unit\":\"m\",\"features\":[{\"ty");
    refused_everywhere(at, "cut.geojson", &[], &["cut.geojson: line 1, column", "expected JSON"]);
    write("model.glb", b"glTF\x02\0\0\0");
    refused_everywhere(
        at,
        "model.glb",
        &[],
        &["tarnwright: model.glb: read glTF, which is only written"],
    );
}

/// What stands before a cut is kept by `convert`, and where it stopped is said.
#[test]
fn a_file_that_is_cut_gives_what_stands_before_the_cut() {
    let folder = folder();
    let at = folder.path();
    done(at, &["convert", "list.csv", "list.xml"]);
    done(at, &["convert", "list.xml", "list.las"]);
    // A header that claims four thousand million points has those that are there.
    let mut lying = fs::read(at.join("list.las")).unwrap();
    lying[107..111].copy_from_slice(&u32::MAX.to_le_bytes());
    fs::write(at.join("lying.las"), lying).unwrap();
    let cloud = ["--error", "1 cm"];
    let cut = ["point 79: read the end of the file, expected 4294967295 points"];
    let ran = done(at, &[&["convert", "lying.las", "lying.xml"], &cloud[..]].concat());
    assert!(ran.out.contains("the file is cut: ") && ran.out.contains(cut[0]), "{}", ran.out);
    let preview = ["new", "garden", "--preview", "--survey", "lying.las"];
    let ran = done(at, &[&preview, &cloud[..]].concat());
    assert!(ran.out.contains(cut[0]), "{}", ran.out);
    // Half a ground is none to plan on, and none to measure against.
    let whole = ["lying.las: point 79", "`tarnwright convert` keeps what stands before the cut"];
    refused(at, &[&["new", "garden", "--survey", "lying.las"], &cloud[..]].concat(), &whole);
    refused(at, &[&["compare", "list.las", "lying.las"], &cloud[..]].concat(), &whole);
    let text = fs::read(at.join("list.xml")).unwrap();
    fs::write(at.join("cut.xml"), &text[..text.len() * 2 / 3]).unwrap();
    let ran = done(at, &["convert", "cut.xml", "some.csv"]);
    assert!(ran.out.contains("the file is cut: line "), "{}", ran.out);
    refused(at, &["new", "garden", "--survey", "cut.xml"], &["cut.xml: line ", "expected"]);
    // A site's own survey must be whole.
    done(at, &["new", "garden", "--survey", "list.xml"]);
    let survey = at.join("garden/survey.xml");
    let whole = fs::read(&survey).unwrap();
    fs::write(&survey, &whole[..whole.len() - 40]).unwrap();
    refused(at, &["report", "garden"], &["garden/survey.xml: line ", "expected"]);
}

/// Ctrl-C ends a long conversion with a status of its own, and leaves no file and no part of one.
#[cfg(target_os = "linux")]
#[test]
fn a_long_conversion_is_called_off_without_a_trace() {
    use std::process::{Command, Stdio};
    use std::time::{Duration, Instant};

    let folder = TempDir::new().unwrap();
    let at = folder.path();
    let mut seed = 1_u64;
    let mut next = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    };
    let points: Vec<[f64; 3]> =
        (0..2_000_000).map(|_| [1000.0 * next(), 1000.0 * next(), 50.0 + 5.0 * next()]).collect();
    let bytes = exchange::las::write(&points, units::LengthUnit::Metre);
    let size = bytes.len();
    fs::write(at.join("scan.las"), bytes).unwrap();
    let before: Vec<_> = snapshot(at).into_keys().collect();
    for words in [
        &["convert", "scan.las", "scan.xml", "--error", "1 mm"][..],
        &["new", "garden", "--survey", "scan.las", "--error", "1 mm"],
    ] {
        let mut running = Command::new(acceptance::program())
            .args(words)
            .current_dir(at)
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // Once the file is in memory the program listens.
        let began = Instant::now();
        let resident = || {
            let text =
                fs::read_to_string(format!("/proc/{}/statm", running.id())).unwrap_or_default();
            let pages = text.split(' ').nth(1).and_then(|word| word.parse::<usize>().ok());
            pages.unwrap_or(0) * 4096
        };
        while resident() < size && began.elapsed() < Duration::from_secs(60) {
            std::thread::sleep(Duration::from_millis(20));
        }
        let killed =
            Command::new("kill").args(["-INT", &running.id().to_string()]).status().unwrap();
        assert!(killed.success());
        let ended = running.wait().unwrap();
        let mut said = String::new();
        std::io::Read::read_to_string(&mut running.stderr.take().unwrap(), &mut said).unwrap();
        assert_eq!(ended.code(), Some(130), "{words:?}: {said}");
        assert!(said.contains("called off"), "{said}");
        assert_eq!(snapshot(at).into_keys().collect::<Vec<_>>(), before, "{words:?}");
    }
}

#[test]
fn shells_and_man_are_told_the_commands() {
    let here = Path::new(".");
    for shell in ["bash", "zsh", "fish"] {
        let ran = tarnwright(here, &["completions", shell]);
        assert_eq!(ran.status, 0, "{ran:?}");
        for word in ["convert", "grid-factor", "preview"] {
            assert!(ran.out.contains(word), "{shell}: {word}");
        }
    }
    let ran = tarnwright(here, &["manual"]);
    assert_eq!(ran.status, 0, "{ran:?}");
    assert!(ran.out.contains(".TH") && ran.out.contains("TARNWRIGHT NEW"), "{}", ran.out);
    assert_eq!(tarnwright(here, &["completions", "sh"]).status, 2);
}
