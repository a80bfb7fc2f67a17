#!/usr/bin/env python3
"""Turns a building model in the open standard IFC (ISO 16739-1) into a survey for POST /v1/estimates.

    pip install ifcopenshell shapely
    python ifc_to_survey.py house.ifc > survey.json
    python ifc_to_survey.py house.ifc --front north --dwelling terrace --built-year 1934 > survey.json

What it reads: storeys and their levels, rooms (spaces) with their outlines and heights, doors and windows in their walls,
what walls and slabs are made of where the material's name says it, and a flat roof over a room. What a model does not say stays
out of the survey: the service asks about it and says what it takes meanwhile. A model knows no points: add `points` to the
rooms, or none are priced. Notes go to standard error. Look the plan over before you rely on a price.
"""
import argparse
import json
import math
import re
import sys

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.element as element
import ifcopenshell.util.unit
from shapely import affinity
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.ops import unary_union

# A point of a plan nearer than this to the line between its neighbours says nothing.
STRAIGHT_M = 0.005
# How far outside a room's outline the middle of a door or a window in its wall may lie: the thickness of a stone wall.
WALL_M = 0.9
CORNERS_MAX = 64
SIDES = {"south": 0.0, "west": 90.0, "north": 180.0, "east": 270.0}
# Words of a material's name, in the languages' usual spelling, and what the survey calls the wall. The first that fits is taken.
WALLS = [
    ("aerated|aircrete|autoclaved", "aerated-block"), ("clinker|breeze", "breeze-block"), ("dense block|concrete block|blockwork|cmu", "dense-block"),
    ("brick|masonry", "brick"), ("rubble|stone", "stone-rubble"), ("cob|adobe|rammed earth", "cob"), ("metal stud|steel stud", "metal-stud"),
    ("timber stud|wood stud|stud", "timber-stud"), ("timber frame|wood frame", "timber-frame"), ("lath", "lath-and-plaster"),
    ("glass|glazed|curtain", "glazed"), ("concrete", "concrete"), ("timber|wood", "timber-frame"),
]
FLOORS = [("beam and block|beam-and-block", "beam-and-block"), ("chipboard|particle", "chipboard-on-joists"), ("timber|wood|joist", "suspended-timber"), ("concrete", "solid-concrete")]
CEILINGS = [("lath", "lath-and-plaster"), ("plasterboard|gypsum", "plasterboard"), ("concrete", "concrete")]


def note(text):
    print(f"note: {text}", file=sys.stderr)


def by_words(table, names):
    """What a list of material names says, by the first row that any of them fits."""
    text = " ; ".join(names).lower()
    return next((word for pattern, word in table if re.search(pattern, text)), None)


def materials(product):
    names = [material.Name for material in element.get_materials(product) if getattr(material, "Name", None)]
    return names + [text for text in (product.Name, getattr(product, "ObjectType", None)) if text]


def mesh(settings, product):
    """Triangles of a product in metres, in the model's own axes; none where it has no shape."""
    try:
        shape = ifcopenshell.geom.create_shape(settings, product).geometry
    except RuntimeError:
        return []
    at, corners = shape.verts, shape.faces
    point = lambda index: (at[3 * index], at[3 * index + 1], at[3 * index + 2])
    return [tuple(point(corner) for corner in corners[first:first + 3]) for first in range(0, len(corners), 3)]


def footprint(triangles):
    flat = [Polygon([(x, y) for x, y, _ in triangle]) for triangle in triangles]
    # Grown and shrunk by a tenth of a millimetre, so that triangles that share an edge become one.
    return unary_union([shape for shape in flat if shape.area > 1e-9]).buffer(1e-4, join_style=2).buffer(-1e-4, join_style=2)


def heights(triangles):
    levels = [z for triangle in triangles for _, _, z in triangle]
    return min(levels), max(levels)


def slug(text, taken):
    plain = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:56] or "room"
    name, count = plain, 1
    while name in taken:
        count += 1
        name = f"{plain}-{count}"
    taken.add(name)
    return name


def outline(shape, name):
    """The corners of a room, without those on a straight line."""
    if isinstance(shape, MultiPolygon):
        note(f"{name}: its outline has {len(shape.geoms)} parts; the largest is taken")
        shape = max(shape.geoms, key=lambda part: part.area)
    if shape.interiors:
        note(f"{name}: a hole in it is left out")
    ring = list(Polygon(shape.exterior).simplify(STRAIGHT_M).exterior.coords)[:-1]
    # The corner at which a ring begins is never simplified away.
    if len(ring) > 4 and LineString([ring[-1], ring[1]]).distance(Point(ring[0])) < STRAIGHT_M:
        ring = ring[1:]
    return ring


def storeys(model, taken):
    """Storeys by their identifier in the model. The one nearest to nought is the ground."""
    unit = ifcopenshell.util.unit.calculate_unit_scale(model)
    found = sorted(model.by_type("IfcBuildingStorey"), key=lambda storey: storey.Elevation or 0.0)
    used = [storey for storey in found if any(part.is_a("IfcSpace") for part in element.get_decomposition(storey))]
    if not used:
        return {}
    ground = min(range(len(used)), key=lambda index: abs((used[index].Elevation or 0.0) * unit))
    return {
        storey.id(): {"id": slug(storey.Name or f"level {index - ground}", taken), "level": index - ground}
        for index, storey in enumerate(used)
    }


def storey_of(space):
    parent = element.get_aggregate(space) or element.get_container(space)
    while parent is not None and not parent.is_a("IfcBuildingStorey"):
        parent = element.get_aggregate(parent)
    return parent


def side_of(shape, place):
    """The side of a room that a place lies on, and how far along it from its left or front end: as `openings` has it."""
    left, front, right, back = shape.bounds
    distances = {"front": place[1] - front, "back": back - place[1], "left": place[0] - left, "right": right - place[0]}
    side = min(distances, key=lambda name: abs(distances[name]))
    along = place[0] - left if side in ("front", "back") else place[1] - front
    length = right - left if side in ("front", "back") else back - front
    return side, along, length, abs(distances[side])


def opening(product, triangles, rooms):
    """A door or a window in the room whose wall it is nearest to; recorded once, the other side follows."""
    print_on_plan = footprint(triangles)
    if print_on_plan.is_empty:
        return
    box = print_on_plan.minimum_rotated_rectangle
    if not isinstance(box, Polygon):
        return
    corners = list(box.exterior.coords)
    width = max(math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2]))
    middle = (box.centroid.x, box.centroid.y)
    low, high = heights(triangles)
    near = [room for room in rooms if room["low"] - 0.3 <= low < room["high"] and room["shape"].exterior.distance(box.centroid) < WALL_M]
    if not near:
        note(f"{product.Name or product.GlobalId}: no room beside it")
        return
    room = min(near, key=lambda one: one["shape"].exterior.distance(box.centroid))
    side, along, length, off = side_of(room["shape"], middle)
    begins = along - width / 2
    if off > WALL_M or begins < -0.02 or begins + width > length + 0.02:
        note(f"{room['survey']['name']}: an opening on a wall that is neither front, back, left nor right is left out")
        return
    kind = "door" if product.is_a("IfcDoor") else "window"
    record = {"kind": kind, "wall": side, "from_m": round(max(begins, 0.0), 3), "width_m": round(min(width, length), 3)}
    if kind == "window":
        record["sill_m"] = round(max(low - room["low"], 0.0), 2)
    record["head_m"] = round(high - room["low"], 2)
    room["survey"].setdefault("openings", []).append(record)


def rooms_of(model, settings, turn, levels, taken):
    rooms = []
    for space in model.by_type("IfcSpace"):
        storey, triangles = storey_of(space), mesh(settings, space)
        name = space.LongName or space.Name or "Room"
        if storey is None or storey.id() not in levels or not triangles:
            note(f"{name}: it has no storey or no shape, and is left out")
            continue
        shape = affinity.rotate(footprint(triangles), turn, origin=(0, 0))
        low, high = heights(triangles)
        ring = outline(shape, name)
        if not 3 <= len(ring) <= CORNERS_MAX:
            note(f"{name}: {len(ring)} corners; it is sent without its outline")
        level = levels[storey.id()]
        record = {"id": slug(f"{level['id']} {name}", taken), "name": name, "storey": level["id"], "height_m": round(high - low, 3), "points": []}
        rooms.append({"survey": record, "shape": Polygon(ring) if len(ring) >= 3 else None, "ring": ring, "low": low, "high": high, "level": level["level"]})
    return rooms


def fabric(model, settings, turn, rooms):
    """What walls and slabs beside each room are made of, where their materials say it; and a flat roof over it."""
    def laid(kind):
        for product in model.by_type(kind):
            triangles = mesh(settings, product)
            if triangles:
                yield product, affinity.rotate(footprint(triangles), turn, origin=(0, 0)), heights(triangles)

    walls, slabs, roofs = list(laid("IfcWall")), list(laid("IfcSlab")), list(laid("IfcRoof"))
    for room in rooms:
        lengths = {}
        band = room["shape"].buffer(0.15)
        for wall, shape, (low, high) in walls:
            word = by_words(WALLS, materials(wall))
            if word and low < room["high"] - 0.2 and high > room["low"] + 0.2:
                lengths[word] = lengths.get(word, 0.0) + shape.intersection(band).area
        lengths = {word: area for word, area in lengths.items() if area > 0.01}
        if lengths:
            room["survey"]["wall"] = max(sorted(lengths), key=lengths.get)
        for slab, shape, (low, high) in slabs:
            if shape.intersection(room["shape"]).area < 0.5 * room["shape"].area:
                continue
            if abs(high - room["low"]) < 0.35:
                word = by_words(FLOORS, materials(slab))
                if word:
                    room["survey"]["floor"] = {"construction": word}
            if abs(low - room["high"]) < 0.6:
                word = by_words(CEILINGS, materials(slab))
                if word:
                    room["survey"]["ceiling"] = {"construction": word}
        for roof, shape, (low, _) in roofs:
            own = any(other["level"] > room["level"] and other["shape"].intersects(room["shape"].buffer(-0.1)) for other in rooms)
            if not own and roof.PredefinedType == "FLAT_ROOF" and low > room["low"] and shape.intersection(room["shape"]).area > 0.5 * room["shape"].area:
                room["survey"]["above"] = "flat-roof"


def survey(path, front, dwelling, built_year, nation):
    model = ifcopenshell.open(path)
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    turn, taken = SIDES[front], set()
    levels = storeys(model, taken)
    rooms = rooms_of(model, settings, turn, levels, taken)
    if not rooms:
        sys.exit("error: the model has no room (IfcSpace) with a shape on a storey")
    drawn = [room for room in rooms if room["shape"] is not None]
    fabric(model, settings, turn, drawn)
    for kind in ("IfcDoor", "IfcWindow"):
        for product in model.by_type(kind):
            triangles = mesh(settings, product)
            if triangles:
                turned = [tuple(turned_point(point, turn) for point in triangle) for triangle in triangles]
                opening(product, turned, drawn)
    left = min(x for room in drawn for x, _ in room["ring"])
    near = min(y for room in drawn for _, y in room["ring"])
    for room in drawn:
        if len(room["ring"]) <= CORNERS_MAX:
            room["survey"]["corners"] = [{"x_m": round(x - left, 4), "y_m": round(y - near, 4)} for x, y in room["ring"]]
    site = {"storeys": sorted(levels.values(), key=lambda level: level["level"])}
    site.update({key: value for key, value in (("dwelling", dwelling), ("built_year", built_year), ("nation", nation)) if value})
    return {"survey": {"site": site, "rooms": [room["survey"] for room in rooms]}}


def turned_point(point, turn):
    angle = math.radians(turn)
    x, y, z = point
    return (x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle), z)


def main():
    parser = argparse.ArgumentParser(description="An IFC model as a survey for POST /v1/estimates.")
    parser.add_argument("model", help="the .ifc file")
    parser.add_argument("--front", choices=SIDES, default="south", help="which side of the model is the front of the house (default: south, the lower edge of the plan)")
    parser.add_argument("--dwelling", help="detached, semi-detached, terrace, end-terrace, bungalow, flat or maisonette")
    parser.add_argument("--built-year", type=int)
    parser.add_argument("--nation", help="england, wales, scotland or northern-ireland")
    given = parser.parse_args()
    json.dump(survey(given.model, given.front, given.dwelling, given.built_year, given.nation), sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
