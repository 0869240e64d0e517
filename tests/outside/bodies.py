"""Meshes through a library that is not ours: trimesh.

Usage: bodies.py FOLDER, the output folder of `droprack make`. Every STL and GLB
must be watertight and turned outwards, and its volume, surface and centre of
gravity must be those of job.json.
"""

import json
import pathlib
import sys

import numpy as np
import trimesh

folder = pathlib.Path(sys.argv[1])
job = json.loads((folder / "job.json").read_text())
bodies = {}
for body in job["bodies"]["pieces"]:
    bodies[body["name"]] = body

worst = 0.0
checked = 0
for path in sorted((folder / "pieces").glob("*.stl")):
    mesh = trimesh.load(path)
    scene = trimesh.load(path.with_suffix(".glb"))
    (node,) = [n for n in scene.graph.nodes_geometry]
    body = bodies[node]
    matrix, name = scene.graph[node]
    metres = scene.geometry[name].copy().apply_transform(matrix)
    # One point a corner again: normals had split them.
    metres.merge_vertices(merge_norm=True, merge_tex=True)
    for what, m, unit in [("stl", mesh, 1.0), ("glb", metres, 1e3)]:
        assert m.is_watertight and m.is_winding_consistent, f"{path.name} {what}: open or turned"
        volume, area = m.volume * unit**3, m.area * unit**2
        off = abs(volume / body["volume_mm3"] - 1.0)
        assert off < 0.002, f"{path.name} {what}: volume {volume} against {body['volume_mm3']}"
        assert abs(volume / body["mesh"]["volume_mm3"] - 1.0) < 1e-5, f"{path.name} {what}"
        assert abs(area / body["mesh"]["area_mm2"] - 1.0) < 1e-5, f"{path.name} {what}"
        worst = max(worst, off)
    # y up: the piece's z is the file's y, its y runs against the file's z.
    x, y, z = metres.center_mass * 1e3
    centre = np.array(body["centre_of_gravity_mm"])
    assert np.abs(np.array([x, -z, y]) - centre).max() < 0.02, f"{path.name}: centre {x} {-z} {y} against {centre}"
    assert np.abs(mesh.center_mass - centre).max() < 0.02, f"{path.name}: centre of the STL"
    checked += 1
assert checked == len(bodies) > 0, f"{checked} of {len(bodies)}"

scene = trimesh.load(folder / "assembly.glb")
pieces = [n for n in scene.graph.nodes_geometry if "/" in n]
for node in scene.graph.nodes_geometry:
    matrix, name = scene.graph[node]
    assert abs(np.linalg.det(matrix[:3, :3]) * 1e9 - 1.0) < 1e-4, f"{node}: mirrored or scaled"
print(f"{checked} pieces agree (worst volume {worst:.2e}), {len(pieces)} pieces stand in the assembly")
