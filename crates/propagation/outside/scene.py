"""The scene, the exact map and the measures that the outside programs share.

Not a reader of jobs: it knows the scenes of zero-thickness sheets in `tests/data` and nothing else.
"""

import json
import pathlib
import time

import numpy as np

DATA = pathlib.Path(__file__).resolve().parent.parent / "tests" / "data"
CELL_M = 0.25
HEIGHT_M = 1.0
FREQUENCY_HZ = 5.25e9
SPEED_OF_LIGHT = 299_792_458.0
REFLECTIONS = 3

# ITU-R P.2040-4 Table 3: relative permittivity a, conductivity c·f^d [S/m], f in GHz (b is 0 for these).
P2040 = {
    "brick": (3.91, 0.0238, 0.16),
    "plasterboard": (2.73, 0.0085, 0.9395),
    "wood": (1.99, 0.0047, 1.0718),
}


def load(name="S2"):
    """The scene's description and the exact map in dB, `[transmitter][y][x]`."""
    scene = json.loads((DATA / f"{name}.json").read_text())
    exact = json.loads((DATA / f"exact_{name}_5.25GHz_z1.0.json").read_text())
    return scene, np.array(exact["gain_dB"])


def sheets(scene):
    """Every sheet as name, material, thickness [m] and its rectangle's corners in turn [m]."""
    out = []
    for wall in scene["walls"]:
        if wall["openings"]:
            raise ValueError(f"wall `{wall['id']}` has openings, which these programs do not know; use S1 or S2")
        (ax, ay), (bx, by), z0, z1 = wall["a"], wall["b"], wall["z0"], wall["z1"]
        corners = [[ax, ay, z0], [bx, by, z0], [bx, by, z1], [ax, ay, z1]]
        out.append((wall["id"], wall["material"], wall["thickness_m"], np.array(corners, float)))
    for floor in scene["floors"]:
        x0, y0, x1, y1, z = (floor[key] for key in ("x0", "y0", "x1", "y1", "z"))
        corners = [[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]]
        out.append((floor["id"], floor["material"], floor["thickness_m"], np.array(corners, float)))
    return out


def difference_db(gain, exact):
    """A map of linear gains less one in dB; a cell without gain counts as −200 dB."""
    return 10.0 * np.log10(np.maximum(gain, 1e-20)) - exact


def rms_db(gain, exact):
    """RMS of the difference over all cells and transmitters."""
    return float(np.sqrt(np.mean(difference_db(gain, exact) ** 2)))


def mean_db(gain, exact):
    """Mean of the difference over all cells and transmitters."""
    return float(np.mean(difference_db(gain, exact)))


def timed(run):
    """Seconds on the wall, seconds of all processors of this process, and the result."""
    wall, processor = time.perf_counter(), time.process_time()
    result = run()
    return time.perf_counter() - wall, time.process_time() - processor, result
