use std::io::Cursor;
use std::ops::ControlFlow;

use laz::{LasZipCompressor, LazVlrBuilder};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;
use crate::watch::{Progress, unwatched};

/// A file of `n` points: point i at x = 1,234,567 + i, class i % 3 + 1.
fn cloud(minor: u8, format: u8, n: usize) -> Vec<u8> {
    let header_size: usize = match minor {
        4 => 375,
        3 => 235,
        _ => 227,
    };
    let length = shortest(format).unwrap() + 2;
    let mut out = vec![0; header_size];
    let mut put = |at: usize, bytes: &[u8]| out[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, b"LASF");
    put(24, &[1, minor]);
    put(94, &(header_size as u16).to_le_bytes());
    put(96, &(header_size as u32).to_le_bytes());
    put(104, &[format]);
    put(105, &(length as u16).to_le_bytes());
    if minor < 4 {
        put(107, &(n as u32).to_le_bytes());
    } else {
        put(247, &(n as u64).to_le_bytes());
    }
    for axis in 0..3 {
        put(131 + 8 * axis, &0.01_f64.to_le_bytes());
    }
    put(155, &500_000.0_f64.to_le_bytes());
    for i in 0..n as i32 {
        let mut record = vec![0; length];
        for (axis, c) in [1_234_567 + i, 7 * (i % 91), 10_000 + i % 13].into_iter().enumerate() {
            record[4 * axis..4 * axis + 4].copy_from_slice(&c.to_le_bytes());
        }
        let class = (i % 3 + 1) as u8;
        if format < 6 {
            record[14] = 0b0000_1001;
            record[15] = class;
        } else {
            record[14] = 0b0001_0001;
            record[16] = class;
        }
        out.extend(record);
    }
    out
}

/// The same file, compressed.
fn packed(minor: u8, format: u8, n: usize, chunk_size: u32) -> Vec<u8> {
    let plain = cloud(minor, format, n);
    let header = Header::read(&plain).unwrap();
    let builder = LazVlrBuilder::default().with_point_format(format, 2).unwrap();
    let vlr = builder.with_fixed_chunk_size(chunk_size).build();
    let mut items = Vec::new();
    vlr.write_to(&mut items).unwrap();
    let mut out = plain[..header.at_points].to_vec();
    let at_points = (header.at_points + 54 + items.len()) as u32;
    out[96..100].copy_from_slice(&at_points.to_le_bytes());
    out[100] = 1;
    out[104] |= 0x80;
    let mut head = [0; 54];
    head[2..16].copy_from_slice(b"laszip encoded");
    head[18..20].copy_from_slice(&22204_u16.to_le_bytes());
    head[20..22].copy_from_slice(&(items.len() as u16).to_le_bytes());
    out.extend(head);
    out.extend(&items);
    let mut cursor = Cursor::new(out);
    cursor.set_position(u64::from(at_points));
    let mut compressor = LasZipCompressor::new(cursor, vlr).unwrap();
    compressor.compress_many(&plain[header.at_points..]).unwrap();
    compressor.done().unwrap();
    compressor.into_inner().into_inner()
}

fn metres() -> Told {
    Told { unit: Some(LengthUnit::Metre), ..Told::default() }
}

fn read_all(bytes: &[u8]) -> Result<Cloud, LasError> {
    read(bytes, &metres(), &mut unwatched)
}

/// T-15: 1,234,567 by 0.01 and 500,000 is 512,345.67; T-14, T-16: places and lengths of fields.
/// Packed and unpacked, every point is the same, and a cut loses only what is behind it.
#[test]
fn packed_points_are_read_back() {
    let place = |k: u32| {
        let k = f64::from(k);
        [500_000.0 + 0.37 * k, 5_400_000.0 + libm::sin(k), 120.0 + libm::cos(0.1 * k)]
    };
    for n in [0, 1, 2, 49_999, 50_000, 50_001, 120_000_u32] {
        let points: Vec<[f64; 3]> = (0..n).map(place).collect();
        let [plain, packed] = [write, write_packed].map(|write| write(&points, LengthUnit::Metre));
        let told = Told::default();
        let [plain_read, packed_read] =
            [&plain, &packed].map(|bytes| read(bytes, &told, &mut unwatched));
        if n == 0 {
            assert!(plain_read.is_err() && packed_read.is_err());
            continue;
        }
        let [plain_read, packed_read] = [plain_read.unwrap(), packed_read.unwrap()];
        assert_eq!(packed_read, plain_read);
        assert!(n < 1000 || packed.len() < plain.len() / 2, "{} {}", packed.len(), plain.len());
        let cut = read(&packed[..packed.len() / 2], &told, &mut unwatched);
        if let Ok(cut) = cut {
            assert!(cut.stopped.is_some() && cut.len() < n as usize);
            assert!(cut.points_m().zip(points).all(|(a, b)| (a[0] - b[0]).abs() < 1e-4));
        }
    }
}

#[test]
fn every_version_and_format_is_read() {
    for (minor, formats) in [(1, 0..=1), (2, 0..=3), (3, 0..=5), (4, 0..=10)] {
        for format in formats {
            let read = read_all(&cloud(minor, format, 30)).unwrap();
            assert_eq!(read.len(), 30, "1.{minor}, format {format}");
            assert!((read.at_m(0)[0] - 512_345.67).abs() < 1e-9);
            assert_eq!(read.at_m(14)[1..], [0.98, 100.01]);
            assert_eq!(read.classes[1], ClassCount { class: 2, n_points: 10 });
        }
    }
}

#[test]
fn compressed_points_are_the_same() {
    for (minor, format) in [(2, 0), (2, 1), (2, 3), (4, 6), (4, 7), (4, 8)] {
        let plain = read_all(&cloud(minor, format, 1000)).unwrap();
        let unpacked = read_all(&packed(minor, format, 1000, 300)).unwrap();
        assert_eq!(unpacked, plain, "1.{minor}, format {format}");
    }
}

#[test]
fn classes_are_told_apart_and_withheld_points_left_out() {
    let mut bytes = cloud(2, 0, 30);
    let told = Told { classes: Some(vec![GROUND]), ..metres() };
    assert_eq!(read(&bytes, &told, &mut unwatched).unwrap().len(), 10);
    let none = Told { classes: Some(vec![9]), ..metres() };
    let error = read(&bytes, &none, &mut unwatched).unwrap_err().to_string();
    assert_eq!(error, "read 30 points and none of the classes told, expected one of 1, 2, 3");
    bytes[227 + 15] |= 0x80;
    let cloud = read_all(&bytes).unwrap();
    assert_eq!(
        (cloud.len(), cloud.doubts[0].as_str()),
        (29, "1 points marked as withheld are left out")
    );
}

#[test]
fn points_before_a_cut_are_kept_and_the_place_is_told() {
    let bytes = cloud(2, 0, 30);
    let cut = read_all(&bytes[..bytes.len() - 30]).unwrap();
    assert_eq!(cut.len(), 28);
    let stopped = cut.stopped.unwrap().to_string();
    assert_eq!(stopped, "point 29: read the end of the file, expected 30 points");
    for (minor, format) in [(2, 1), (4, 6)] {
        let bytes = packed(minor, format, 3000, 500);
        let cut = read_all(&bytes[..bytes.len() / 2]).unwrap();
        let whole = read_all(&bytes).unwrap();
        assert!(cut.len() > 500 && cut.len() < 2900, "{}", cut.len());
        assert!(cut.stopped.is_some());
        // Whole chunks before the cut are beyond doubt.
        let n = cut.len() / 500 * 500;
        assert_eq!(cut.records[..n], whole.records[..n]);
    }
}

#[test]
fn a_header_is_not_believed() {
    let bytes = cloud(2, 0, 30);
    let with = |at: usize, bits: &[u8]| {
        let mut bytes = bytes.clone();
        bytes[at..at + bits.len()].copy_from_slice(bits);
        read_all(&bytes)
    };
    for (at, bits, said) in [
        (
            131,
            0.0_f64.to_le_bytes(),
            "byte 131, scale: read 0, expected a number above zero, such as 0.001",
        ),
        (
            139,
            f64::NAN.to_le_bytes(),
            "byte 139, scale: read NaN, expected a number above zero, such as 0.001",
        ),
        (
            163,
            f64::INFINITY.to_le_bytes(),
            "byte 163, offset: read inf, expected a number within a thousand million",
        ),
    ] {
        assert_eq!(with(at, &bits).unwrap_err().to_string(), said);
    }
    // More points than there are: what is there is read.
    assert_eq!(with(107, &u32::MAX.to_le_bytes()).unwrap().len(), 30);
    assert!(
        with(96, &u32::MAX.to_le_bytes()).unwrap_err().to_string().contains("offset to points")
    );
    assert!(with(105, &[3, 0]).unwrap_err().to_string().contains("20 or more for point format 0"));
    assert!(with(24, &[1, 9]).unwrap_err().to_string().contains("read 1.9, expected 1.0 to 1.4"));
    assert!(with(104, &[0x80]).unwrap_err().to_string().contains("laszip encoded"));
    assert!(with(0, b"FSAL").unwrap_err().to_string().contains("expected LASF"));
    assert!(with(107, &[0; 4]).unwrap_err().to_string().contains("at least one point"));
    // Bounds that do not hold raise a doubt.
    let bounded = with(187, &0.5_f64.to_le_bytes()).and(with(179, &1.0_f64.to_le_bytes())).unwrap();
    assert!(bounded.doubts[0].contains("outside the bounds"), "{:?}", bounded.doubts);
    // A layer that claims four gigabytes.
    let mut packed = packed(4, 6, 400, 100);
    let at_points = u32::from_le_bytes([packed[96], packed[97], packed[98], packed[99]]) as usize;
    let at_layer = at_points + 8 + 32 + 4;
    packed[at_layer..at_layer + 4].copy_from_slice(&u32::MAX.to_le_bytes());
    assert!(read_all(&packed).unwrap_err().to_string().contains("layers longer than the file"));
}

#[test]
fn no_unit_is_guessed() {
    let bytes = cloud(2, 0, 30);
    let error = read(&bytes, &Told::default(), &mut unwatched).unwrap_err();
    assert!(error.to_string().contains("expected --units with"), "{error}");
    let us = Told { unit: Some(LengthUnit::UsSurveyFoot), ..Told::default() };
    let cloud = read(&bytes, &us, &mut unwatched).unwrap();
    assert!((cloud.at_m(0)[0] - 512_345.67 * 1200.0 / 3937.0).abs() < 1e-9);
}

#[test]
fn a_northing_where_the_easting_stands_raises_a_doubt() {
    let swapped = write(&[[5_401_000.0, 512_000.0, 300.0]; 3], LengthUnit::Metre);
    let cloud = read(&swapped, &Told::default(), &mut unwatched).unwrap();
    assert!(cloud.doubts[0].contains("are they swapped?"), "{:?}", cloud.doubts);
}

#[test]
fn what_is_written_is_read_back() {
    let at_m: Vec<[f64; 3]> = (0..50)
        .map(|i| [512_000.123_4 + f64::from(i), 5_401_000.5, 312.25 - f64::from(i) * 0.01])
        .collect();
    for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::UsSurveyFoot] {
        let cloud = read(&write(&at_m, unit), &Told::default(), &mut unwatched).unwrap();
        assert_eq!((cloud.unit, cloud.len()), (unit, 50));
        assert_eq!(cloud.doubts, [""; 0]);
        for (back, at) in cloud.points_m().zip(&at_m) {
            assert!((0..3).all(|axis| (back[axis] - at[axis]).abs() <= 0.51e-4), "{back:?} {at:?}");
        }
    }
}

#[test]
fn a_watcher_is_told_and_calls_it_off() {
    let bytes = cloud(2, 0, 200_000);
    let mut told = Vec::new();
    let mut watch = |progress: Progress| {
        told.push(progress.done);
        if told.len() > 2 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    };
    let error = read(&bytes, &metres(), &mut watch).unwrap_err();
    assert_eq!(error.to_string(), "called off while reading points");
    assert_eq!(told, [0, 65_536, 131_072]);
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(3),
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_broken_cloud_is_read_or_refused(
        kind in 0..4_usize,
        flips in proptest::collection::vec((0.0..1.0_f64, 0..8_u8), 0..6),
        head_flips in proptest::collection::vec((0..300_usize, any::<u8>()), 0..3),
        cut in 0.0..1.3_f64,
    ) {
        let mut bytes = match kind {
            0 => cloud(2, 1, 200),
            1 => cloud(4, 6, 200),
            2 => packed(2, 3, 400, 100),
            _ => packed(4, 7, 400, 100),
        };
        for (share, bit) in flips {
            let at = (share * bytes.len() as f64) as usize;
            bytes[at] ^= 1 << bit;
        }
        for (at, byte) in head_flips {
            bytes[at] = byte;
        }
        bytes.truncate((cut * bytes.len() as f64) as usize);
        match read_all(&bytes) {
            Ok(cloud) => prop_assert!(cloud.len() <= bytes.len()),
            Err(error) => prop_assert!(error.to_string().contains("expected"), "{error}"),
        }
    }
}
