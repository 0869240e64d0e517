//! Tank mounts of a job: what the tape said of tank, frame and what is near.

use super::layouts::Reading;
use super::steering::{OBSTACLE_FROM, OBSTACLE_NAME, OBSTACLE_RADIUS, OBSTACLE_TO, obstacle, place};
use crate::geom::Point;
use crate::layout::{
    Earth, Hangs, Pads, Rails, SIDES, SectionCorner, SectionShape, Station, StrapGoods, TankMount, TankNear,
};
use crate::source::{Field, Need, Obj, Rule, Want, case, field};
use crate::units::{Dim, Length};

const fn length(key: &'static str, must: bool, words: &'static str) -> Field {
    field(key, Want::Expr(Need::Length), must, words)
}

const CORNER: &[Field] = &[
    field("at", Want::Pair(Need::Length), true, "where its two sides would meet: x to the right, z up"),
    length("radius", false, "its radius; inward corners likewise").usual("0 mm").within(0.0, 1_000.0),
];

const STATION: &[Field] = &[
    field("name", Want::Text, true, "a word for it, like front: results of it have this name"),
    length("at", true, "from the front end of the tank's body to the middle of the strap").within(-500.0, 10_000.0),
    length(
        "height",
        false,
        "from the lowest point of the tank up to the face that the ears bolt to; on top: from the highest down",
    )
    .within(10.0, 2_000.0),
    length("height_left", false, "the same on the left, where the sides differ").within(10.0, 2_000.0),
    length("height_right", false, "the same on the right").within(10.0, 2_000.0),
    length("gap_left", false, "clear distance between the members that carry the left hanger").within(10.0, 3_000.0),
    length("gap_right", false, "the same on the right").within(10.0, 3_000.0),
    length("rail_left", false, "from the middle of the tank to the left rail's inner face, where it differs")
        .within(10.0, 3_000.0),
    length("rail_right", false, "the same on the right").within(10.0, 3_000.0),
    length("ear_left", false, "from the middle of the tank to a left bolt that is there already").within(10.0, 3_000.0),
    length("ear_right", false, "the same on the right").within(10.0, 3_000.0),
];

const RAILS: &[Field] = &[
    length("inside", true, "clear distance between the inner faces of the rails, at the first station")
        .within(50.0, 5_000.0),
    length("width", false, "width of a rail; parts can take it as a result").within(5.0, 500.0),
    length("height", false, "height of a rail").within(5.0, 500.0),
    length(
        "diagonal_front_left",
        false,
        "from the left rail's inner face at the first station to the right rail's at the last",
    )
    .within(50.0, 10_000.0),
    length("diagonal_front_right", false, "the other way").within(50.0, 10_000.0),
];

const STRAP: &[Field] = &[
    length("thickness", false, "thickness of the straps").usual("3 mm").within(1.0, 10.0),
    length("width", false, "width of the straps").usual("40 mm").within(10.0, 120.0),
    length("liner", false, "thickness of the rubber under them").usual("3 mm").within(0.0, 20.0),
    length("take_up", false, "between ear and hanger: what the bolts can pull").usual("6 mm").within(0.0, 40.0),
    length("hole", false, "hole for the ear bolts").usual("9 mm").within(4.0, 30.0),
    length("clear", true, "from the side of the tank to the ear bolts").within(10.0, 500.0),
];

const PADS: &[Field] = &[
    length("front", true, "from the front end of the body to the front cross member").within(-200.0, 2_000.0),
    length("rear", true, "from the rear end of the body to the rear cross member").within(-200.0, 2_000.0),
    field("equal", Want::Bool, false, "true: both must be equal"),
    length("lips", true, "size of the tank over the two edges that lie on the pads").within(50.0, 10_000.0),
    length("leg", false, "leg of the pads' angle").usual("25 mm").within(10.0, 100.0),
    length("rubber", false, "thickness of the rubber").usual("5 mm").within(0.0, 30.0),
    length("length", false, "length of one pad; a quarter of the tank's width").within(20.0, 1_000.0),
    field("each", Want::Expr(Need::Number), false, "pads at each end").usual("2").within(1.0, 10.0),
    length("apart", false, "from pad to pad at one end; a third of the tank's width").within(10.0, 3_000.0),
    length("least", false, "least width of edge that must lie on a pad").usual("8 mm").within(1.0, 100.0),
];

const EARTH: &[Field] = &[
    place("tank", true, "stud on the tank: x, y, z"),
    place("frame", true, "stud on the frame: x, y, z"),
    length("slack", false, "what the bond is longer: the tank moves on its rubber (common practice)")
        .usual("20 mm")
        .within(0.0, 500.0),
];

const NEAR: &[Field] = &[
    OBSTACLE_NAME,
    OBSTACLE_FROM,
    OBSTACLE_TO,
    OBSTACLE_RADIUS,
    length("least", false, "room to be left; usual 15 mm, 100 mm to what gets hot (common practice)")
        .within(0.0, 2_000.0),
    field("hot", Want::Bool, false, "true: it gets hot, like an exhaust"),
];

/// The keys of a `[[tank]]`.
pub(super) const TANK: &[Field] = &[
    field("name", Want::Text, true, "name of the mount: Main tank gives results like main_tank.volume"),
    field(
        "section",
        Want::OneOf(&["rectangle", "round", "obround", "D", "corners"]),
        true,
        "shape of the tank, looking along it",
    ),
    length("width", false, "across its section").within(40.0, 3_000.0),
    length("height", false, "height of its section").within(40.0, 3_000.0),
    length("radius", false, "radius of a rectangle's corners, or of the upper corners of a D").within(0.0, 1_000.0),
    field("corner", Want::List(CORNER), false, "corners in order round it: a strap goes straight over what is hollow"),
    length("length", true, "of its body, along the vehicle").within(20.0, 10_000.0),
    field("volume", Want::Expr(Need::Volume), false, "what it is said to hold: held against section and length")
        .within(1e4, 1e10),
    field("load", Want::Text, false, "the [[load]] that its mounts have to hold"),
    length("centre", false, "from its front end to its centre of gravity; half its length").within(-500.0, 10_000.0),
    field(
        "hangs",
        Want::OneOf(&["under", "between", "on top"]),
        false,
        "under the rails, between them, or on top of them with the straps over it",
    )
    .usual("between"),
    field("strap", Want::Table(STRAP), true, "its straps"),
    field(
        "station",
        Want::List(STATION),
        true,
        "strap by strap from front to rear: place, and what was measured there",
    ),
    field("rails", Want::Table(RAILS), false, "the frame"),
    length("square_within", false, "how far it may stand out of square over its length (common practice)")
        .usual("5 mm")
        .within(0.1, 200.0),
    field("pads", Want::Table(PADS), false, "pads on two cross members that carry the edges of its ends"),
    field("earth", Want::Table(EARTH), false, "its earth bond"),
    length("ground", false, "from the ground to its lowest point, loaded").within(-100.0, 3_000.0),
    length("least_ground", false, "least that must be left under tank and straps (common practice)")
        .usual("150 mm")
        .within(0.0, 2_000.0),
    field("obstacle", Want::List(NEAR), false, "what it must clear"),
];

/// Rules between them.
pub(super) const TANK_RULES: &[Rule] = &[Rule::ByWord {
    key: "section",
    usual: None,
    cases: &[
        case("rectangle", &["width", "height"], &["radius"]),
        case("D", &["width", "height"], &["radius"]),
        case("obround", &["width", "height"], &[]),
        case("round", &["width"], &[]),
        case("corners", &["corner"], &[]),
    ],
}];

/// Radius of corners of which nothing is told.
const USUAL_RADIUS: Length = Length::mm(25.0);
/// Usual room, and to what gets hot.
const ROOM: Length = Length::mm(15.0);
const HOT_ROOM: Length = Length::mm(100.0);

/// A mount and the width and height of its rails; faults go to the reading's list.
pub(super) fn tank(o: &Obj, r: &mut Reading) -> Option<(TankMount, [Option<Length>; 2])> {
    let section = section(o, r);
    let length = r.length(o, "length");
    let straps = o.obj("strap").and_then(|s| strap(s, r));
    let list = o.list("station");
    let stations: Vec<Station> = list.iter().filter_map(|s| station(s, r)).collect();
    let rails = part(o, "rails", r, |o, r| {
        let inside = r.length(o, "inside")?;
        let (one, other) = (r.may(o, "diagonal_front_left")?, r.may(o, "diagonal_front_right")?);
        let diagonals = one.zip(other).map(|(a, b)| [a, b]);
        let size = [r.may(o, "width")?, r.may(o, "height")?];
        Some((Rails { inside, diagonals }, size))
    })?;
    let pads = part(o, "pads", r, pads)?;
    let earth = part(o, "earth", r, |o, r| {
        let (tank, frame) = (r.triple(o, "tank"), r.triple(o, "frame"));
        Some(Earth { tank: tank?, frame: frame?, slack: r.usual(EARTH, o, "slack")? })
    })?;
    let ground = r.may(o, "ground")?;
    let least_ground = r.usual(TANK, o, "least_ground")?;
    let near = o.list("obstacle").iter().map(|n| self::near(n, r)).collect::<Option<Vec<_>>>();
    let square_within = r.usual(TANK, o, "square_within")?;
    let stated_mm3 = match o.text("volume") {
        Some(_) => Some(r.number(o, "volume")?),
        None => None,
    };
    let centre = r.may(o, "centre")?;
    let mount = TankMount {
        name: o.word("name")?.to_string(),
        section: section?,
        length: length?,
        stated_mm3,
        centre: centre.unwrap_or(length? / 2.0),
        hangs: match o.word("hangs") {
            Some("under") => Hangs::Under,
            Some("on top") => Hangs::OnTop,
            _ => Hangs::Between,
        },
        strap: straps?,
        rails: rails.map(|r| r.0),
        square_within,
        pads,
        earth,
        ground: ground.map(|g| [g, least_ground]),
        near: near?,
        stations,
    };
    (mount.stations.len() == list.len()).then_some((mount, rails.map_or([None, None], |r| r.1)))
}

/// A block that may be left out: nothing where it is at fault.
fn part<T>(
    o: &Obj,
    key: &str,
    r: &mut Reading,
    read: impl FnOnce(&Obj, &mut Reading) -> Option<T>,
) -> Option<Option<T>> {
    match o.obj(key) {
        None if o.has(key) => None,
        None => Some(None),
        Some(inner) => read(inner, r).map(Some),
    }
}

fn section(o: &Obj, r: &mut Reading) -> Option<SectionShape> {
    let radius = |r: &mut Reading| if o.has("radius") { r.length(o, "radius") } else { Some(USUAL_RADIUS) };
    Some(match o.word("section")? {
        "round" => SectionShape::Round { width: r.length(o, "width")? },
        "obround" => SectionShape::Obround { width: r.length(o, "width")?, height: r.length(o, "height")? },
        "corners" => {
            let all = o.list("corner").iter().map(|c| {
                let [x, y] = c.texts("at") else { return None };
                let (x, y) = (r.quantity(x, Dim::LENGTH), r.quantity(y, Dim::LENGTH));
                let radius = r.usual(CORNER, c, "radius");
                Some(SectionCorner { at: Point::new(x?, y?), radius: radius? })
            });
            SectionShape::Corners(all.collect::<Option<Vec<_>>>()?)
        }
        word => {
            let (width, height, radius) = (r.length(o, "width"), r.length(o, "height"), radius(r));
            let (width, height, radius) = (width?, height?, radius?);
            match word {
                "D" => SectionShape::D { width, height, radius },
                _ => SectionShape::Rectangle { width, height, radius },
            }
        }
    })
}

fn strap(o: &Obj, r: &mut Reading) -> Option<StrapGoods> {
    let mut usual = |key: &str| r.usual(STRAP, o, key);
    let (thickness, width, liner) = (usual("thickness"), usual("width"), usual("liner"));
    let (take_up, hole) = (usual("take_up"), usual("hole"));
    let clear = r.length(o, "clear");
    Some(StrapGoods {
        thickness: thickness?,
        width: width?,
        liner: liner?,
        take_up: take_up?,
        hole: hole?,
        clear: clear?,
    })
}

fn station(o: &Obj, r: &mut Reading) -> Option<Station> {
    let at = r.length(o, "at");
    let whole = r.may(o, "height")?;
    let mut pair = |key: &str| -> Option<[Option<Length>; 2]> {
        let [l, r] = SIDES.map(|side| r.may(o, &format!("{key}_{side}")));
        Some([l?, r?])
    };
    let (heights, gap, rail, ear) = (pair("height")?, pair("gap")?, pair("rail")?, pair("ear")?);
    let [Some(left), Some(right)] = heights.map(|h| h.or(whole)) else {
        r.say(o, "a strap without the height of its ears", "write height = \"...\", or height_left and height_right");
        return None;
    };
    Some(Station { name: o.word("name")?.to_string(), at: at?, height: [left, right], gap, rail, ear })
}

fn pads(o: &Obj, r: &mut Reading) -> Option<Pads> {
    let room = [r.length(o, "front"), r.length(o, "rear")];
    let lips = r.length(o, "lips");
    let mut usual = |key: &str| r.usual(PADS, o, key);
    let (leg, rubber, least) = (usual("leg"), usual("rubber"), usual("least"));
    let each = match o.text("each") {
        Some(t) => r.count(t, 10),
        None => Some(2),
    };
    let (length, apart) = (r.may(o, "length")?, r.may(o, "apart")?);
    Some(Pads {
        room: [room[0]?, room[1]?],
        equal: o.flag("equal") == Some(true),
        lips: lips?,
        leg: leg?,
        rubber: rubber?,
        length,
        each: each?,
        apart,
        least: least?,
    })
}

fn near(o: &Obj, r: &mut Reading) -> Option<TankNear> {
    let obstacle = obstacle(o, r.scope, r.out);
    let hot = o.flag("hot") == Some(true);
    let least = r.may(o, "least")?;
    let usual = if hot { HOT_ROOM } else { ROOM };
    Some(TankNear { obstacle: obstacle?, least: least.unwrap_or(usual), hot, usual: least.is_none() })
}
