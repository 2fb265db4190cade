"""Map of a scene of sheets by the image method, in plain NumPy.

The textbook method: every sequence of up to three mirror planes, all receivers of the map at once, and for the pairs that
have a path every sheet that its legs cross, with the slab's complex amplitudes at the angle at hand (no tables, float64).
Not made to be fast beyond using whole arrays; it is what somebody writes in an afternoon, and independent of the Rust
code: it shares the scene's file and nothing else.

Prints one line of JSON.
"""

import itertools
import json
import sys

import numpy as np

import scene as common

TINY = 1e-9


def slab(material, thickness, cos, reflected):
    """Amplitudes TE and TM that a slab reflects or passes: ITU-R P.2040-4 section 2.2.2, exp(+jωt)."""
    a, c, d = common.P2040[material]
    ghz = common.FREQUENCY_HZ / 1e9
    epsilon_0 = 8.8541878128e-12
    eta = a - 1j * c * ghz**d / (2.0 * np.pi * common.FREQUENCY_HZ * epsilon_0)
    root = np.sqrt(eta - (1.0 - cos**2))
    q = 2.0 * np.pi * common.FREQUENCY_HZ / common.SPEED_OF_LIGHT * thickness * root
    once, twice = np.exp(-1j * q), np.exp(-2j * q)
    out = []
    for r in ((cos - root) / (cos + root), (eta * cos - root) / (eta * cos + root)):
        below = 1.0 - r**2 * twice
        out.append(r * (1.0 - twice) / below if reflected else (1.0 - r**2) * once / below)
    return out


class Sheet:
    """A rectangle: its normal, its plane, and its sides for the test whether a point is in it."""

    def __init__(self, material, thickness, corners):
        self.material, self.thickness = material, thickness
        self.corner, self.u, self.v = corners[0], corners[1] - corners[0], corners[3] - corners[0]
        normal = np.cross(self.u, self.v)
        normal = normal / np.linalg.norm(normal)
        # Of opposite normals the one whose first part that is not zero is positive, so that planes can be compared.
        if normal[np.flatnonzero(np.abs(normal) > TINY)[0]] < 0.0:
            normal = -normal
        self.normal, self.offset = normal, float(normal @ self.corner)

    def holds(self, points):
        relative = points - self.corner
        along, across = relative @ self.u / (self.u @ self.u), relative @ self.v / (self.v @ self.v)
        return (along >= 0.0) & (along <= 1.0) & (across >= 0.0) & (across <= 1.0)

    def act(self, field, direction, reflected):
        """The field, and the direction, after the sheet; one row a path."""
        along = direction @ self.normal
        te = np.cross(direction, self.normal)
        length = np.linalg.norm(te, axis=1)
        is_normal = length < TINY
        if is_normal.any():
            te[is_normal] = np.cross(direction[is_normal], [0.3, 0.5, 0.8])
            length[is_normal] = np.linalg.norm(te[is_normal], axis=1)
        te /= length[:, None]
        out = direction - 2.0 * along[:, None] * self.normal if reflected else direction
        answer_te, answer_tm = slab(self.material, self.thickness, np.abs(along), reflected)
        amount_te = answer_te * np.einsum("ij,ij->i", field, te)
        amount_tm = answer_tm * np.einsum("ij,ij->i", field, np.cross(te, direction))
        return amount_te[:, None] * te + amount_tm[:, None] * np.cross(te, out), out


def cross_leg(sheets, start, end, field, direction):
    """The field after every sheet between two points, in the order on the way; and how many that were."""
    way = end - start
    hits = []
    for number, sheet in enumerate(sheets):
        slope = way @ sheet.normal
        with np.errstate(divide="ignore", invalid="ignore"):
            place = (sheet.offset - start @ sheet.normal) / slope
        paths = np.flatnonzero((place > TINY) & (place < 1.0 - TINY))
        paths = paths[sheet.holds(start[paths] + place[paths, None] * way[paths])]
        hits.append((paths, place[paths], np.full(len(paths), number)))
    paths, places, numbers = (np.concatenate(column) for column in zip(*hits))
    order = np.lexsort((places, paths))
    paths, numbers = paths[order], numbers[order]
    # How many the same path has met before.
    first = np.flatnonzero(np.r_[True, paths[1:] != paths[:-1]]) if len(paths) else np.zeros(0, int)
    rank = np.arange(len(paths)) - np.repeat(first, np.diff(np.r_[first, len(paths)]))
    for nth in range(rank.max() + 1 if len(rank) else 0):
        for number in np.unique(numbers[rank == nth]):
            chosen = paths[(rank == nth) & (numbers == number)]
            field[chosen], _ = sheets[number].act(field[chosen], direction[chosen], reflected=False)
    return field, len(paths)


def gains(sheets, source, receivers, counts):
    """Linear gain, both polarisations, at every receiver; adds paths, crossings and reflections to `counts`."""
    planes = {}
    for sheet in sheets:
        key = tuple(np.round(np.r_[sheet.normal, sheet.offset], 6))
        planes.setdefault(key, []).append(sheet)
    planes = list(planes.values())
    wavelength = common.SPEED_OF_LIGHT / common.FREQUENCY_HZ
    total = np.zeros(len(receivers))
    for order in range(common.REFLECTIONS + 1):
        for sequence in itertools.product(range(len(planes)), repeat=order):
            if any(a == b for a, b in itertools.pairwise(sequence)):
                continue
            images = [source]
            for plane in sequence:
                mirror = planes[plane][0]
                images.append(images[-1] - 2.0 * (images[-1] @ mirror.normal - mirror.offset) * mirror.normal)
            # From the receiver back to the source: where it is reflected, and by which sheet of the plane.
            alive = np.arange(len(receivers))
            corners = [receivers]
            mirrors = []
            for plane, image in zip(reversed(sequence), reversed(images[1:])):
                mirror = planes[plane][0]
                here = corners[-1]
                height, depth = here @ mirror.normal - mirror.offset, image @ mirror.normal - mirror.offset
                with np.errstate(divide="ignore", invalid="ignore"):
                    place = height / (height - depth)
                is_between = (place > TINY) & (place < 1.0 - TINY)
                point = here + np.where(is_between, place, 0.0)[:, None] * (image - here)
                which = np.full(len(here), -1)
                for number, sheet in enumerate(planes[plane]):
                    which[is_between & (which < 0) & sheet.holds(point)] = number
                keep = which >= 0
                alive = alive[keep]
                corners = [corner[keep] for corner in corners] + [point[keep]]
                mirrors = [of[keep] for of in mirrors] + [which[keep]]
            if len(alive) == 0:
                continue
            corners = [np.broadcast_to(source, corners[0].shape)] + corners[::-1]
            mirrors = mirrors[::-1]
            way = corners[1] - corners[0]
            direction = way / np.linalg.norm(way, axis=1)[:, None]
            # Vertical: along theta.
            plan = np.maximum(np.hypot(direction[:, 0], direction[:, 1]), TINY)
            theta = np.c_[direction[:, :2] * (direction[:, 2] / plan)[:, None], -plan]
            field = theta.astype(complex)
            for leg in range(order + 1):
                field, crossings = cross_leg(sheets, corners[leg], corners[leg + 1], field, direction)
                counts["crossings"] += crossings
                if leg == order:
                    break
                for number, sheet in enumerate(planes[sequence[leg]]):
                    chosen = np.flatnonzero(mirrors[leg] == number)
                    if len(chosen):
                        field[chosen], direction[chosen] = sheet.act(field[chosen], direction[chosen], reflected=True)
            counts["paths"] += len(alive)
            counts["reflections"] += order * len(alive)
            length = np.linalg.norm(corners[-1] - images[-1], axis=1)
            power = np.sum(np.abs(field) ** 2, axis=1)
            total[alive] += power * (wavelength / (4.0 * np.pi * length)) ** 2
    return total


def points(scene, per_cell):
    """The map's points: `per_cell`² in a cell, moved off the planes of symmetry as the exact map's are."""
    area = scene["map"]
    step = common.CELL_M / per_cell
    shift = (1e-4, 0.7e-4)
    columns = round((area["x1"] - area["x0"]) / step)
    rows = round((area["y1"] - area["y0"]) / step)
    x = area["x0"] + (np.arange(columns) + 0.5) * step + shift[0]
    y = area["y0"] + (np.arange(rows) + 0.5) * step + shift[1]
    x, y = np.meshgrid(x, y)
    return np.stack([x, y, np.full_like(x, common.HEIGHT_M)], axis=-1)


def image_map(scene, per_cell, counts):
    """Mean linear gain over the points of every cell, `[transmitter][y][x]`."""
    sheets = [Sheet(material, thickness, corners) for _, material, thickness, corners in common.sheets(scene)]
    grid = points(scene, per_cell)
    rows, columns = grid.shape[0] // per_cell, grid.shape[1] // per_cell
    maps = []
    for source in scene["tx"]:
        of_points = gains(sheets, np.array(source, float), grid.reshape(-1, 3), counts)
        maps.append(of_points.reshape(rows, per_cell, columns, per_cell).mean(axis=(1, 3)))
    return np.array(maps)


def simd():
    """The widest vector instructions that this NumPy was built with and this processor has."""
    try:
        from numpy._core._multiarray_umath import __cpu_baseline__, __cpu_dispatch__, __cpu_features__
    except ImportError:
        return "unknown"
    found = [name for name in [*__cpu_baseline__, *__cpu_dispatch__] if __cpu_features__.get(name)]
    return found[-1] if found else "unknown"


def main():
    scene, exact = common.load()
    per_cell = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    counts = {"paths": 0, "crossings": 0, "reflections": 0}
    wall, processor, gain = common.timed(lambda: image_map(scene, per_cell, counts))
    print(
        json.dumps(
            {
                "method": f"NumPy {np.__version__} image method, {per_cell} x {per_cell} points a cell",
                "name": "numpy-image-method",
                "instructions": simd(),
                "threads": 1,
                "wall_s": wall,
                "cpu_s": processor,
                "rms_db": common.rms_db(gain, exact),
                **counts,
            }
        )
    )


if __name__ == "__main__":
    main()
