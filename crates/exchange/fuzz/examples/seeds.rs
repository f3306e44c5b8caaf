//! Sound files to begin from, written to `corpus/TARGET`: `cargo run --release --example seeds`.

use std::fs;
use std::io::Result;
use std::path::{Path, PathBuf};

use exchange::convert::{Asked, Input, convert};
use exchange::watch::unwatched;

const LIST: &str = "# units: m\n# lines: BANK\n# boundary: EDGE\n# voids: VOID\nname,x,y,z,code\n\
    a,0,0,10,EDGE\nb,20,0,11,EDGE\nc,20,20,13,EDGE\nd,0,20,12,EDGE\n\
    e,4,10,15.25,BANK\nf,16,10,15.75,BANK\ng,7,3,9.5,GS\nh,12.5,15,12.25,\"GS, x\"\n\
    i,9,5,11,VOID\nj,11,5,11,VOID\nk,10,6,11,VOID\n";
const LISTS: [&str; 4] = [
    "Point;Easting;Northing;Elevation\n1;1,5;2,5;100,25\n2;-3;4;101,0\n3;7;8;99,5\n",
    "# units: us-ft\n\npt x y z d\n  1   1,5 2,5 100,25 GS\n2 -3,0 4,0 101,0 \"a b\"\n",
    "x (m),y (m),code,name,height (m)\r\n1.5,2.5,\"GS\"\"\",1,100.25\r\n-3,4,,2,101\r\n4,9,,3,99\r\n",
    "1 2 3 4 5\n6 7 8 9 10\n3 9 4 5 6\n",
];
const BOOKS: [&str; 3] = [
    "# units: m\nname,BS,IS,FS,known,distance,x,y,code\nBM,1.2,,,50,10,0,0,\n\
     A,,1.1,,,,9,0,GS\nB,1.4,,1.3,,12,9,9,GS\nC,,1.25,,,,2,8,GS\nBM,,,1.3,50,9,,,\n",
    "name;BS;IS;FS;known;distance;x;y\nBM;1,5;;;25;;;\n1;;1,2;;;;0;0\nT;0,8;;1,9;;9;;\nBM;;;0,4;;9;;\n",
    "# units: ft\n# bench: 100\nmark,back,fore,x (ft),y\nBM,5.5,,,\nA,1.2,2.3,3,4\nBM,,4.4,,\n",
];
const LANDXML: &str = r#"<?xml version="1.0"?><LandXML version="1.2">
<Units><Imperial linearUnit="USSurveyFoot" areaUnit="squareFoot"/></Units>
<CgPoints><CgPoint name="1" code="GS">10 20 3</CgPoint><CgPoint name="2" pntRef="1"/></CgPoints>
<Surfaces><Surface name="a"><SourceData><DataPoints><PntList3D>0 0 1 9 0 2 9 9 3</PntList3D></DataPoints>
<Breaklines><Breakline brkType="standard"><PntList3D>1 1 1 8 8 2</PntList3D></Breakline></Breaklines>
<Boundaries><Boundary bndType="outer" edgeTrim="true"><PntList2D>0 0 9 0 9 9 0 0</PntList2D></Boundary>
</Boundaries></SourceData><Definition surfType="TIN"><Pnts><P id="1">0 0 1</P><P id="2">9 0 2</P>
<P id="3">9 9 3</P><P id="4">0 9 4</P></Pnts><Faces><F>1 2 3</F><F i="1">1 3 4</F></Faces></Definition>
</Surface></Surfaces></LandXML>"#;
const GRID: &str = "ncols 3\nnrows 3\nxllcenter 10\nyllcenter 20\ncellsize 2\nNODATA_value -9999\n\
    1 2 3\n4 -9999 6\n7 8 9\n";
const GEOJSON: &str = r#"{"type":"FeatureCollection","units":"ft","features":[{"type":"Feature",
"properties":{"kind":"boundary","elevation":3},"geometry":{"type":"Polygon","coordinates":
[[[0,0,1],[9,0,1],[9,9,1],[0,0,1]],[[4,2,1],[5,2,1],[5,3,1],[4,2,1]]]}},{"type":"Feature","properties":null,
"geometry":{"type":"MultiLineString","coordinates":[[[1,1],[2,2]],[[3,3,3],[4,4,4]]]}},{"type":"Feature",
"properties":{"name":"p"},"geometry":{"type":"GeometryCollection","geometries":[{"type":"Point",
"coordinates":[1,2,3]},{"type":"MultiPoint","coordinates":[[4,5,6]]}]}}]}"#;
const TYPED: [&str; 10] = [
    "3' 6 1/2\"",
    "1.25 m",
    "-4,5cm",
    "12 us-ft",
    "name,x,y,z,code",
    "pnezd",
    "spoil = 12 yd3",
    "no-spoil",
    "1e3 mm",
    "5 ft 3 in",
];

fn main() -> Result<()> {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    for (target, ending) in [
        ("landxml", "xml"),
        ("las", "las"),
        ("laz", "laz"),
        ("geotiff", "tif"),
        ("plain_grid", "asc"),
        ("geojson", "geojson"),
    ] {
        put(target, "made", &made(ending))?;
    }
    put("point_list", "made", LIST.as_bytes())?;
    texts("point_list", &LISTS)?;
    texts("level_book", &BOOKS)?;
    texts("landxml", &[LANDXML])?;
    texts("plain_grid", &[GRID])?;
    texts("geojson", &[GEOJSON])?;
    texts("typed", &TYPED)?;
    let data = crates.join("exchange/tests/data");
    copied("laz", &data, "laz")?;
    copied("geojson", &data, "geojson")?;
    copied("picture", &data, "jpg")?;
    // Of 6 by 8 cells and 19 by 13 pixels, in the ways that GDAL 3.10 and Pillow 13 know.
    let others = Path::new(env!("CARGO_MANIFEST_DIR")).join("seeds");
    copied("geotiff", &others.join("geotiff"), "tif")?;
    copied("picture", &others.join("picture"), "png")?;
    copied("picture", &others.join("picture"), "jpg")?;
    copied("site_file", &crates.join("site/tests/kept"), "ron")?;
    copied("site_file", &crates.join("../demo-sites/rear-garden"), "ron")
}

/// The list as a file of another format.
fn made(ending: &str) -> Vec<u8> {
    let list = Input { bytes: LIST.as_bytes(), name: "a.csv" };
    let asked = Asked { step_m: Some(5.0), error_m: Some(0.01), ..Asked::default() };
    convert(list, &format!("a.{ending}"), &asked, &mut unwatched).expect("the list is sound").bytes
}

fn texts(target: &str, texts: &[&str]) -> Result<()> {
    texts.iter().zip(1..).try_for_each(|(text, n)| put(target, &format!("text-{n}"), text.as_bytes()))
}

/// Takes over the files of a folder whose names end so, but none so long that reading it is slow.
fn copied(target: &str, folder: &Path, ending: &str) -> Result<()> {
    const MOST_BYTES: usize = 40_000;
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|found| found == ending) {
            let bytes = fs::read(&path)?;
            let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            if bytes.len() <= MOST_BYTES {
                put(target, &name, &bytes)?;
            }
        }
    }
    Ok(())
}

fn put(target: &str, name: &str, bytes: &[u8]) -> Result<()> {
    let folder: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus").join(target);
    fs::create_dir_all(&folder)?;
    fs::write(folder.join(name), bytes)
}
