//! Pictures of a small hand-made garden, through the crate's public face.

mod garden;

use view::{From, PictureRequest, pictures};

#[test]
fn every_look_makes_a_picture_without_a_display() {
    let (site, evaluation) = garden::made();
    let size: Vec<u32> = std::env::var("TARNWRIGHT_PICTURE_SIZE")
        .unwrap_or("320x180".into())
        .split('x')
        .map(|n| n.parse().unwrap())
        .collect();
    let froms = [
        From::BirdsEye,
        From::Walk("From the seat".into()),
        From::Walk("From the kitchen window".into()),
        From::Plan,
        From::Depths,
    ];
    let requests: Vec<PictureRequest> = froms
        .into_iter()
        .map(|from| PictureRequest { from, width: size[0], height: size[1] })
        .collect();
    let taken = pictures(&site, &evaluation, &requests).unwrap();
    for (picture, request) in taken.iter().zip(&requests) {
        assert_eq!(picture.dimensions(), (request.width, request.height));
        if let Ok(dir) = std::env::var("TARNWRIGHT_PICTURES") {
            let name = format!("{:?}", request.from).replace(['"', '(', ')', ' '], "");
            picture.save(format!("{dir}/{name}.png")).unwrap();
        }
    }
}
