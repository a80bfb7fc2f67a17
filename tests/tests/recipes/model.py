"""Makes a small building model in IFC 4 for the test of the recipe: two storeys, four rooms with walls of 0.1 m between them,
a door, a window, a concrete slab under and a flat roof over the extension. All of it is invented.

    python model.py house.ifc
"""
import sys

import ifcopenshell
import ifcopenshell.api.aggregate
import ifcopenshell.api.context
import ifcopenshell.api.geometry
import ifcopenshell.api.material
import ifcopenshell.api.project
import ifcopenshell.api.root
import ifcopenshell.api.spatial
import ifcopenshell.api.unit
import numpy

api = ifcopenshell.api
model = api.project.create_file(version="IFC4")
project = api.root.create_entity(model, ifc_class="IfcProject", name="Invented house")
api.unit.assign_unit(model, length={"is_metric": True, "raw": "MILLIMETERS"})
plan = api.context.add_context(model, context_type="Model")
body = api.context.add_context(model, context_type="Model", context_identifier="Body", target_view="MODEL_VIEW", parent=plan)
building = api.root.create_entity(model, ifc_class="IfcBuilding", name="House")
api.aggregate.assign_object(model, products=[building], relating_object=project)


def storey(name, elevation_m):
    made = api.root.create_entity(model, ifc_class="IfcBuildingStorey", name=name)
    made.Elevation = elevation_m * 1000.0
    api.aggregate.assign_object(model, products=[made], relating_object=building)
    return made


def prism(product, corners, bottom_m, height_m):
    """A body with this outline on plan, in metres of the house: moved by 3 m and 2 m, as models seldom begin at nought."""
    points = [(float((x + 3.0) * 1000), float((y + 2.0) * 1000)) for x, y in corners]
    line = model.createIfcPolyline([model.createIfcCartesianPoint(point) for point in points + points[:1]])
    profile = model.createIfcArbitraryClosedProfileDef("AREA", None, line)
    shape = api.geometry.add_profile_representation(model, context=body, profile=profile, depth=height_m)
    api.geometry.assign_representation(model, product=product, representation=shape)
    matrix = numpy.eye(4)
    matrix[2][3] = bottom_m
    api.geometry.edit_object_placement(model, product=product, matrix=matrix)


def box(x, y, width, depth):
    return [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)]


def room(name, long_name, on, corners, bottom_m, height_m=2.4):
    made = api.root.create_entity(model, ifc_class="IfcSpace", name=name)
    made.LongName = long_name
    api.aggregate.assign_object(model, products=[made], relating_object=on)
    prism(made, corners, bottom_m, height_m)


def part(kind, name, on, corners, bottom_m, height_m, material=None, **more):
    made = api.root.create_entity(model, ifc_class=kind, name=name, **more)
    api.spatial.assign_container(model, products=[made], relating_structure=on)
    prism(made, corners, bottom_m, height_m)
    if material:
        named = api.material.add_material(model, name=material)
        api.material.assign_material(model, products=[made], material=named)


ground, first = storey("Ground floor", 0.0), storey("First floor", 2.7)
# An L of six corners and a rectangle beside it, 0.1 m of wall between them; a bedroom and a landing above; an extension behind.
room("G1", "Kitchen/Diner", ground, [(0, 0), (6, 0), (6, 2), (4, 2), (4, 5), (0, 5)], 0.0)
room("G2", "Foyer", ground, box(4.1, 2.1, 1.9, 2.9), 0.0)
room("G3", "Utility/Boot", ground, box(0, 5.3, 3, 2), 0.0)
room("F1", "Bed 1", first, box(0, 0, 6, 3), 2.7)
room("F2", "Landing", first, box(0, 3.1, 6, 1.9), 2.7)
part("IfcWall", "front", ground, box(-0.3, -0.3, 6.6, 0.3), 0.0, 5.1, "Clay brickwork")
part("IfcWall", "partition", ground, box(4.0, 2.0, 0.1, 3.0), 0.0, 2.4, "Timber stud and gypsum")
part("IfcWall", "behind", ground, box(-0.3, 5.0, 6.6, 0.3), 0.0, 5.1, "Clay brickwork")
part("IfcWall", "extension", ground, box(-0.3, 7.3, 3.6, 0.3), 0.0, 2.4, "Aerated block")
part("IfcSlab", "base", ground, box(-0.3, -0.3, 6.6, 8.0), -0.2, 0.2, "Concrete C25")
part("IfcRoof", "extension roof", ground, box(-0.3, 5.3, 3.6, 2.3), 2.4, 0.2, predefined_type="FLAT_ROOF")
part("IfcDoor", "front door", ground, box(1.0, -0.3, 0.9, 0.3), 0.0, 2.05)
part("IfcWindow", "bedroom window", first, box(2.0, -0.3, 1.5, 0.3), 3.6, 1.1)
model.write(sys.argv[1])
