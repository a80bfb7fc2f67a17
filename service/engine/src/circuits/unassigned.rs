//! Runs that belong to no circuit: signal wiring, strappers between switches, bonds, draw-in runs. Laid once, for all who
//! count, cut, ask or tell.

use std::collections::BTreeMap;

use super::Member;
use super::bonds::{BondRun, bonds};
use super::draw_ins::{DrawIn, draw_ins};
use crate::catalogue::{CableClass, Catalogue};
use crate::quantities::Metres;
use crate::routes::{Ask, Routing, Run, RunStop, StopPoint, Topology};
use crate::site::{Location, RoomIndex, ends_at_the_hub};
use crate::survey::{PointType, Position};

/// Runs that belong to no circuit.
#[derive(Debug, Clone, Default)]
pub struct UnassignedRuns {
    /// The runs of the signal wiring, all outlets of one entry together.
    pub signal: Vec<(Member, Run)>,
    /// Strappers between switches.
    pub strappers: Vec<Strapper>,
    /// The bonds that are wanted, in the order of the services.
    pub bonds: Vec<BondRun>,
    /// Draw-in runs for what may come.
    pub draw_ins: Vec<DrawIn>,
}

/// Strappers of one room.
#[derive(Debug, Clone)]
pub struct Strapper {
    /// Their way.
    pub run: Run,
    /// Metres of one of them.
    pub metres: f64,
    /// How many.
    pub count: u32,
    /// Whether both ends have a place, so that its way lies on the map.
    pub on_the_map: bool,
}

impl UnassignedRuns {
    /// Lays them. `signal` are the points on no circuit.
    pub(super) fn laid_for(ways: &Routing<'_>, signal: &[Member], catalogue: &Catalogue) -> Self {
        // Of work that was stopped the rest is not wanted.
        let members = signal.iter().take_while(|_| ways.work().goes_on());
        Self {
            signal: members.map(|member| (*member, signal_run(ways, *member, catalogue))).collect(),
            strappers: strappers(ways),
            bonds: bonds(ways),
            draw_ins: draw_ins(ways, catalogue),
        }
    }

    /// The bond of a service, by the place of that in the list of them.
    #[must_use]
    pub fn bond(&self, service: usize) -> Option<&BondRun> {
        self.bonds.iter().find(|bond| bond.service == service)
    }

    /// Every run of them whose way is known.
    pub fn laid(&self) -> impl Iterator<Item = &Run> {
        let signal = self.signal.iter().map(|(_, run)| run);
        let strappers = self.strappers.iter().map(|strapper| &strapper.run);
        let bonds = self.bonds.iter().filter_map(|bond| bond.run.as_ref());
        signal.chain(strappers).chain(bonds).chain(self.draw_ins.iter().filter_map(|draw_in| draw_in.run.as_ref()))
    }
}

fn signal_run(ways: &Routing<'_>, member: Member, catalogue: &Catalogue) -> Run {
    let site = ways.site();
    let plan = &site.rooms[member.room].points[member.point];
    let place = catalogue.points()[plan.row].place;
    let point = StopPoint {
        place,
        is_switch: false,
        in_and_out: false,
        height: plan.height,
        count: member.count,
        at: plan.at,
        entry: Some(member.point),
        first: member.first,
    };
    let stops = [RunStop { room: member.room, points: vec![point], share_of_walls: 1.0 }];
    let from = if ends_at_the_hub(plan.kind) { site.signal_hub } else { site.board };
    let ask = Ask { from, stops: &stops, topology: Topology::Star, cable: CableClass::Lighting, explained: false };
    if ways.network().is_some() {
        return ways.run(ask);
    }
    let mut home = ways.home_run(from, (member.room, None), plan.height);
    for segment in &mut home.segments {
        segment.metres = segment.metres * f64::from(member.count);
        segment.obstructed = segment.obstructed * f64::from(member.count);
    }
    home
}

/// Strappers between switches: those whose places are known, then those by the model of lengths.
fn strappers(ways: &Routing<'_>) -> Vec<Strapper> {
    let on_the_map = strappers_on_the_map(ways);
    let mut strappers = Vec::new();
    // Of single ones every second has its partner in another room; one that is left over is asked about, not wired.
    let mut partner_open = false;
    for run in on_the_map.values().flatten() {
        strappers.push(Strapper { run: run.clone(), metres: run.metres.value(), count: 1, on_the_map: true });
    }
    for (index, room) in ways.site().rooms.iter().enumerate() {
        let paired = || room.points.iter().filter(|point| paired(point.kind));
        let switches: u32 = paired().map(|point| point.count).sum();
        if switches == 0 || room.outbuilding.is_some() || on_the_map.contains_key(&index) {
            continue;
        }
        // Switches in one room pair with each other; a single one has its partner on another storey.
        if switches == 1 {
            partner_open = !partner_open;
            if partner_open {
                continue;
            }
        }
        let (count, to_next_storey) = if switches == 1 { (1, true) } else { (switches - 1, false) };
        let Some(height) = paired().map(|point| point.height).next() else { continue };
        let mut run = ways.strapper(index, height, to_next_storey);
        let metres = run.metres.value();
        for segment in &mut run.segments {
            segment.metres = segment.metres * f64::from(count);
        }
        strappers.push(Strapper { run, metres, count, on_the_map: false });
    }
    strappers
}

/// Whether a switch shares its light with another one.
const fn paired(kind: PointType) -> bool {
    matches!(kind, PointType::TwoWaySwitch | PointType::IntermediateSwitch)
}

/// Strappers between switches whose places are known: from switch to switch in one room, and from a single one to the
/// nearest single one elsewhere. By room; a room without a run has its partner in another one.
fn strappers_on_the_map(ways: &Routing<'_>) -> BTreeMap<RoomIndex, Vec<Run>> {
    let site = ways.site();
    let mut strappers: BTreeMap<RoomIndex, Vec<Run>> = BTreeMap::new();
    let mut alone: Vec<(RoomIndex, Position, Metres)> = Vec::new();
    let rooms = site.rooms.iter().enumerate().filter(|(_, room)| room.outbuilding.is_none());
    for (index, room) in rooms {
        let switches = room.points.iter().filter(|point| paired(point.kind));
        let places: Vec<(Position, Metres)> =
            switches.flat_map(|point| point.places.iter().map(|at| (*at, point.height))).collect();
        match places.as_slice() {
            [] => {}
            [(at, height)] => alone.push((index, *at, *height)),
            many => {
                let goes_on = |_: &&[(Position, Metres)]| ways.work().goes_on();
                let runs = many
                    .windows(2)
                    .take_while(goes_on)
                    .filter_map(|pair| strapper(ways, (index, pair[0].0), (index, pair[1].0), pair[1].1));
                strappers.insert(index, runs.collect());
            }
        }
    }
    while let Some((room, at, _)) = alone.pop() {
        let away = |other: &(RoomIndex, Position, Metres)| {
            let storeys = site.rooms[other.0].level.abs_diff(site.rooms[room].level);
            crate::geometry::straight(other.1, at) + f64::from(storeys) * site.storey_rise().value()
        };
        let nearest = alone.iter().enumerate().min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b)).then(a.0.cmp(&b.0)));
        let Some(place) = nearest.map(|(place, _)| place) else { continue };
        let partner = alone.remove(place);
        let run = strapper(ways, (room, at), (partner.0, partner.1), partner.2);
        if run.is_some() {
            strappers.entry(partner.0).or_default();
        }
        strappers.entry(room).or_default().extend(run);
    }
    strappers
}

fn strapper(
    ways: &Routing<'_>,
    (from, at): (RoomIndex, Position),
    (to, there): (RoomIndex, Position),
    height: Metres,
) -> Option<Run> {
    let spot = |room: RoomIndex, at| Location {
        room: Some(room),
        level: ways.site().rooms[room].level,
        at: Some(at),
        height: None,
    };
    ways.between_on_the_map(spot(from, at), spot(to, there), height, CableClass::Lighting)
}
