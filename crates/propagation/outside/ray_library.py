"""Map of a scene of sheets by the map solver of the ray-tracing library Sionna RT, on the CPU.

The sheets as the scene has them: rectangles without thickness that carry the coefficients of a P.2040 slab; a transmitter
of gain 1 with its field along theta; both polarisations received. What differs from the exact map is the library's own
way and is not tuned away:

- it shoots rays and averages over a whole cell by the rays that cross it, not over 2 × 2 points;
- its depth counts transmissions along with reflections: depth 8 misses paths with more than eight interactions and holds
  paths with four and more reflections;
- at every sheet a ray is either reflected or passes, by chance.

Arguments: rays per transmitter and runs. Prints one line of JSON.
"""

import ctypes
import json
import os
import re
import statistics
import subprocess
import sys

import scene as common

DEPTH = 8
THREADS = 2

# The library's compiler takes the first LLVM library that it finds; 14 and 15 cannot compile the map solver ("Cannot
# select: fmaximum"), 19.1 can. Between them nothing was tried.
FIRST_LLVM = 16
LAST_LLVM = 22
NO_LLVM = (
    "the ray-tracing library needs an LLVM library of the system, version 19 for choice: on Debian and Ubuntu the package"
    " libllvm19; if it is elsewhere, set DRJIT_LIBLLVM_PATH to the file"
)


def choose_llvm():
    """Points the library's compiler to an LLVM library that can compile its solver, unless somebody chose one."""
    if "DRJIT_LIBLLVM_PATH" in os.environ:
        return
    newest_first = range(LAST_LLVM, FIRST_LLVM - 1, -1)
    for name in (name for v in [19, *newest_first] for name in (f"libLLVM.so.{v}.1", f"libLLVM-{v}.so.1")):
        try:
            ctypes.CDLL(name)
        except OSError:
            continue
        os.environ["DRJIT_LIBLLVM_PATH"] = name
        return
    raise SystemExit(NO_LLVM)


def instructions():
    """What the library's compiler compiles for, read from a small kernel that it writes out in a process of its own."""
    program = (
        "import drjit; drjit.set_log_level(drjit.LogLevel.Trace)\n"
        "import drjit.llvm as jit; x = jit.Float([1, 2, 3]) + 1; drjit.eval(x)"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    text = told.stdout + told.stderr
    processor = re.search(r'"target-cpu"="([^"]+)"', text)
    width = re.search(r"<(\d+) x float>", text)
    if not (processor and width):
        return "unknown"
    features = (("+avx512f", 16, "AVX-512"), ("+avx2", 8, "AVX2"), ("+sse2", 4, "SSE2"), ("+neon", 4, "NEON"))
    family = next((name for mark, least, name in features if mark in text and int(width[1]) >= least), "unknown")
    return f"{family}, {width[1]} x f32, {processor[1]}"


def build(description):
    """The library's scene, with the transmitters."""
    import mitsuba as mi
    import numpy as np
    from sionna import rt

    scene = rt.load_scene()
    scene.frequency = common.FREQUENCY_HZ
    materials, objects = {}, []
    for name, material, thickness, corners in common.sheets(description):
        key = f"{material}-{thickness * 1000:g}"
        if key not in materials:
            materials[key] = rt.ITURadioMaterial(name=key, itu_type=material, thickness=thickness)
        mesh = mi.Mesh(name, vertex_count=4, face_count=2)
        parameters = mi.traverse(mesh)
        parameters["vertex_positions"] = mi.Float(corners.astype(np.float32).ravel())
        parameters["faces"] = mi.UInt32([0, 1, 2, 0, 2, 3])
        parameters.update()
        objects.append(rt.SceneObject(mi_mesh=mesh, name=name, radio_material=materials[key]))
    scene.edit(add=objects)
    scene.tx_array = rt.PlanarArray(num_rows=1, num_cols=1, pattern="iso", polarization="V")
    for number, at in enumerate(description["tx"]):
        scene.add(rt.Transmitter(name=f"tx{number}", position=at))
    return scene


def main():
    if len(sys.argv) != 3:
        raise SystemExit("usage: ray_library.py RAYS RUNS")
    rays, runs = int(float(sys.argv[1])), int(sys.argv[2])
    choose_llvm()
    import drjit
    import drjit.llvm
    import numpy as np
    from sionna import rt

    drjit.eval(drjit.llvm.Float([0.0]) + 1.0)
    version = drjit.detail.llvm_version()
    if version is None or version[0] < FIRST_LLVM:
        raise SystemExit(f"found LLVM {version}: {NO_LLVM}")
    drjit.set_thread_count(THREADS)
    description, exact = common.load()
    scene = build(description)
    area = description["map"]
    solver = rt.RadioMapSolver()

    def run(seed):
        found = solver(
            scene,
            center=[(area["x0"] + area["x1"]) / 2, (area["y0"] + area["y1"]) / 2, common.HEIGHT_M],
            orientation=[0, 0, 0],
            size=[area["x1"] - area["x0"], area["y1"] - area["y0"]],
            cell_size=[common.CELL_M, common.CELL_M],
            samples_per_tx=rays,
            max_depth=DEPTH,
            los=True,
            specular_reflection=True,
            refraction=True,
            diffuse_reflection=False,
            diffraction=False,
            seed=seed,
        )
        # Copied out, so that the work is done when the clock is read.
        return np.array(found.path_gain)

    first, _, gain = common.timed(lambda: run(0))
    run(0)
    if gain.shape != exact.shape:
        raise SystemExit(f"the library's map has the shape {gain.shape}, the exact one {exact.shape}")
    # Another seed each time: chance is part of the method.
    results = [common.timed(lambda: run(seed)) for seed in range(1, runs + 1)]
    print(
        json.dumps(
            {
                "method": f"Sionna RT {rt.__version__} map solver, depth {DEPTH}, {rays:.0e} rays".replace("e+0", "e"),
                "name": f"ray-library-{sys.argv[1]}",
                "instructions": instructions(),
                "llvm": ".".join(str(part) for part in version),
                "threads": THREADS,
                "wall_s": statistics.median(r[0] for r in results),
                "least_s": min(r[0] for r in results),
                "cpu_s": min(r[1] for r in results),
                "rms_db": statistics.median(common.rms_db(r[2], exact) for r in results),
                "rms_range_db": [pick(common.rms_db(r[2], exact) for r in results) for pick in (min, max)],
                "mean_db": statistics.median(common.mean_db(r[2], exact) for r in results),
                "first_s": first,
            }
        )
    )


if __name__ == "__main__":
    main()
