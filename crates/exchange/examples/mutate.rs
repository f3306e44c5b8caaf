//! Breaks files and reads them: `mutate --format las --seconds 60 [--seed 1]`, or `mutate --file FILE`
//! to read one file again.
//!
//! Every broken file is read, made one ground and laid out as a survey. A panic, more than ten seconds of
//! the processor's time or memory out of all proportion to the file ends the run, with the file kept beside the working
//! folder. The same seed breaks the same files in the same order.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use exchange::convert::{Asked, Input, convert, read};
use exchange::surveyed::{Surveyed, ground_places_m, one_ground, own_surface};
use exchange::watch::unwatched;
use units::LengthUnit;

/// No file of a few kilobytes takes so long.
const LONGEST: Duration = Duration::from_secs(10);
/// Memory that a reader may take whatever the file's size, in bytes.
const LEAST_ROOM: u64 = 96 << 20;
/// And so much for each byte of the file.
const ROOM_PER_BYTE: u64 = 4096;

/// The formats by the endings of their names.
const FORMATS: [&str; 8] = ["csv", "book", "xml", "las", "laz", "tif", "asc", "geojson"];

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let told = |flag: &str| {
        let at = words.iter().position(|word| word == flag)?;
        words.get(at + 1).cloned()
    };
    if let Some(file) = told("--file") {
        let bytes = fs::read(&file).expect("the file is there");
        println!("{}", outcome(&bytes, &file));
        return ExitCode::SUCCESS;
    }
    let format = told("--format").unwrap_or_default();
    if !FORMATS.contains(&format.as_str()) {
        eprintln!("mutate --format {} --seconds N [--seed N]", FORMATS.join("|"));
        return ExitCode::FAILURE;
    }
    let number = |flag: &str, or: u64| told(flag).and_then(|word| word.parse().ok()).unwrap_or(or);
    run(&format, Duration::from_secs(number("--seconds", 60)), number("--seed", 1))
}

/// The file under way and when its reading began, in milliseconds of the processor's time.
static UNDER_WAY: Mutex<Vec<u8>> = Mutex::new(Vec::new());
static BEGAN_MS: AtomicU64 = AtomicU64::new(u64::MAX);

fn run(format: &str, length: Duration, seed: u64) -> ExitCode {
    let name = if format == "book" { "a.csv".to_owned() } else { format!("a.{format}") };
    let corpus = corpus(format);
    let start = Instant::now();
    let kept = PathBuf::from(format!("broken-{seed}.{format}"));
    watch_for_hangs(kept.clone());
    // What is told of a fault is where it is; the hook would print each.
    std::panic::set_hook(Box::new(|_| {}));
    let mut rng = Rng(seed);
    let (mut n, mut n_read) = (0_u64, 0_u64);
    while start.elapsed() < length {
        let bytes = broken(&corpus, &mut rng);
        UNDER_WAY.lock().expect("no thread ends with it").clone_from(&bytes);
        BEGAN_MS.store(worked_ms(), Ordering::SeqCst);
        let before = resident_afresh();
        let done = catch_unwind(AssertUnwindSafe(|| outcome(&bytes, &name)));
        BEGAN_MS.store(u64::MAX, Ordering::SeqCst);
        let grown = peak().saturating_sub(before);
        let room = LEAST_ROOM + ROOM_PER_BYTE * bytes.len() as u64;
        let wrong = match &done {
            Err(_) => Some("a panic".to_owned()),
            Ok(_) if grown > room => Some(format!("{grown} bytes for a file of {}", bytes.len())),
            Ok(_) => None,
        };
        if let Some(wrong) = wrong {
            fs::write(&kept, &bytes).expect("the file can be kept");
            println!("{format}: {wrong} after {n} files, seed {seed}: see {}", kept.display());
            return ExitCode::FAILURE;
        }
        n += 1;
        n_read += u64::from(done.is_ok_and(|said| said.starts_with("read")));
    }
    println!("{format}: {n} broken files in {length:?}, {n_read} of them read, seed {seed}");
    ExitCode::SUCCESS
}

fn watch_for_hangs(kept: PathBuf) {
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(Duration::from_millis(250));
            let took = worked_ms().saturating_sub(BEGAN_MS.load(Ordering::SeqCst));
            if u128::from(took) > LONGEST.as_millis() {
                let bytes = UNDER_WAY.lock().expect("no thread ends with it").clone();
                fs::write(&kept, bytes).expect("the file can be kept");
                println!("more than {LONGEST:?}: see {}", kept.display());
                std::process::exit(1);
            }
        }
    });
}

/// What becomes of a file, in words.
fn outcome(bytes: &[u8], name: &str) -> String {
    let asked = Asked { unit: Some(LengthUnit::Metre), error_m: Some(0.05), ..Asked::default() };
    let held = match read(Input { bytes, name }, &asked, &mut unwatched) {
        Ok((held, _)) => held,
        Err(error) => return format!("refused: {error}"),
    };
    let mut notes = Vec::new();
    let laid = one_ground(held, &asked, &mut notes, &mut unwatched).and_then(|content| {
        let places = ground_places_m(&content)?;
        let frame = exchange::content::frame_around(places.into_iter(), content.unit)?;
        let surface = own_surface(&content, &frame, &mut notes)?;
        let surveyed = Surveyed::of(&content, &frame, &mut notes)?;
        Ok((surface.faces().len(), surveyed.points.len()))
    });
    match laid {
        Ok((faces, points)) => format!("read: {faces} triangles, {points} points"),
        Err(error) => format!("read, but {error}"),
    }
}

/// Sound files of a format.
fn corpus(format: &str) -> Vec<Vec<u8>> {
    const LIST: &str = "# units: m\n# lines: BANK\n# boundary: EDGE\nname,x,y,z,code\n\
        a,0,0,10,EDGE\nb,20,0,11,EDGE\nc,20,20,13,EDGE\nd,0,20,12,EDGE\n\
        e,4,10,15.25,BANK\nf,16,10,15.75,BANK\ng,7,3,9.5,GS\nh,12.5,15,12.25,\"GS, x\"\n";
    const BOOK: &str = "# units: m\nname,BS,IS,FS,known,distance,x,y,code\nBM,1.2,,,50,10,0,0,\n\
        A,,1.1,,,,9,0,GS\nB,1.4,,1.3,,12,9,9,GS\nC,,1.25,,,,2,8,GS\nBM,,,1.3,50,9,,,\n";
    let list = Input { bytes: LIST.as_bytes(), name: "a.csv" };
    let asked = Asked { step_m: Some(2.0), error_m: Some(0.01), ..Asked::default() };
    let made = |ending: &str| {
        let name = format!("a.{ending}");
        convert(list, &name, &asked, &mut unwatched).expect("the list is sound").bytes
    };
    match format {
        "csv" => vec![LIST.as_bytes().to_vec(), LIST.replace(',', "\t").into_bytes()],
        "book" => vec![BOOK.as_bytes().to_vec()],
        "laz" => {
            let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
            let names = ["chunks-of-many-sizes.laz", "plane.laz", "version-1-4.laz"];
            let open = names.iter().filter_map(|name| fs::read(folder.join(name)).ok());
            std::iter::once(made("laz")).chain(open).collect()
        }
        other => vec![made(other)],
    }
}

/// A file of the corpus with a few things wrong with it.
fn broken(corpus: &[Vec<u8>], rng: &mut Rng) -> Vec<u8> {
    const STRANGE: [&[u8]; 22] = [
        b"\0\0\0\0",
        b"\xff\xff\xff\xff",
        b"\xff\xff\xff\x7f",
        b"\0\0\0\x80",
        b"\x01\0\0\0",
        b"\0\0\xf0\x7f",
        b"NaN",
        b"inf",
        b"1e308",
        b"-1e308",
        b"1e-320",
        b"99999999999999999999",
        b"-",
        b"<",
        b"</F>",
        b"&x;",
        b"<!--",
        b"[",
        b"]]",
        b"\"",
        b"\n",
        b"\xff\xfe",
    ];
    let mut bytes = corpus[rng.below(corpus.len())].clone();
    for _ in 0..1 + rng.below(4) {
        let at = rng.below(bytes.len().max(1));
        // Heads are short and matter most.
        let at = if rng.below(2) == 0 { at } else { rng.below(bytes.len().clamp(1, 512)) };
        let strange = STRANGE[rng.below(STRANGE.len())];
        let end = (at + strange.len()).min(bytes.len());
        match rng.below(7) {
            0 if at < bytes.len() => bytes[at] ^= 1 << rng.below(8),
            1 if at < bytes.len() => bytes[at] = rng.below(256) as u8,
            2 if at < bytes.len() => bytes[at..end].copy_from_slice(&strange[..end - at]),
            3 => drop(bytes.splice(at.min(bytes.len()).., strange.iter().copied())),
            4 => drop(bytes.splice(at.min(end)..end, strange.iter().copied())),
            5 => {
                let length = rng.below(64);
                let part: Vec<u8> = bytes.iter().skip(at).take(length).copied().collect();
                let to = rng.below(bytes.len().max(1)).min(bytes.len());
                drop(bytes.splice(to..to, part));
            }
            _ => {
                let end = (at + rng.below(64)).min(bytes.len());
                drop(bytes.drain(at.min(end)..end));
            }
        }
    }
    bytes
}

/// Numbers that look random and come again: a linear congruence, its upper half.
struct Rng(u64);

impl Rng {
    fn below(&mut self, n: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n.max(1) as u64) as usize
    }
}

/// Memory in use now, with the mark of the most set back to it where the system can.
fn resident_afresh() -> u64 {
    // Where it cannot, the mark only rises, and what is measured is still a bound.
    let _ = fs::write("/proc/self/clear_refs", "5");
    status("VmRSS:")
}

/// The most memory in use since it was last set back.
fn peak() -> u64 {
    status("VmHWM:")
}

/// The processor's time that this process has taken, in milliseconds; a busy machine adds none.
fn worked_ms() -> u64 {
    const TICK_MS: u64 = 10;
    let text = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // The name in brackets may hold blanks; user and system time are the 12th and 13th words behind.
    let behind = text.rsplit_once(')').map_or("", |(_, behind)| behind);
    let ticks = behind.split_ascii_whitespace().skip(11).take(2);
    ticks.filter_map(|word| word.parse::<u64>().ok()).sum::<u64>() * TICK_MS
}

fn status(word: &str) -> u64 {
    let text = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = text.lines().find_map(|line| line.strip_prefix(word));
    let kilobytes = line.and_then(|line| line.trim().split(' ').next()?.parse::<u64>().ok());
    kilobytes.unwrap_or(0) * 1024
}
