#!/usr/bin/env python3
"""Times one map by three methods in one run: ours, a ray-tracing library's map solver, and the image method in NumPy.

The map: the storey of seven rooms in `tests/data/S2.json`, two transmitters, 5.25 GHz, 1,728 cells of 0.25 m. Each
method's result is compared with the exact map in `tests/data` (three reflections, means over 2 × 2 points a cell). What is
not alike between the methods is in README.md beside this file.

Needs cargo, and a virtual environment with `requirements.txt` (its README says how). Run it on an idle machine; the load is
printed with the table. Every method runs in a process of its own, one after the other.
"""

import argparse
import json
import math
import os
import pathlib
import platform
import re
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
WORKSPACE = HERE.parents[2]
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", WORKSPACE / "target"))
RAYS = ("1e6", "3e6", "1e7")
BUSY = 0.3
SIMD = ("sse2", "sse3", "ssse3", "sse4.1", "sse4.2", "avx", "avx2", "fma", "avx512f", "neon", "sve")
OURS = re.compile(
    r"as set: all paths: median ([\d.]+) ms, least ([\d.]+) ms on two threads; ([\d.]+|inf) ms of one processor;"
    r" ([\d.]+) dB RMS"
)


def run(command, **more):
    """What a program prints; its own words end this one if it fails."""
    print("…", " ".join(str(part) for part in command[-4:]), file=sys.stderr, flush=True)
    try:
        done = subprocess.run(command, capture_output=True, text=True, **more)
    except FileNotFoundError:
        raise SystemExit(f"there is no program `{command[0]}`") from None
    if done.returncode != 0:
        words = (done.stderr or done.stdout).strip().splitlines()[-15:]
        raise SystemExit(f"`{' '.join(str(c) for c in command)}` ended with {done.returncode}:\n" + "\n".join(words))
    return done.stdout


def bench(native):
    """The command of the crate's bench, its flags and its environment: with the instructions of every processor of the
    kind, or with all that this one has."""
    flags = os.environ.get("RUSTFLAGS", "").split()
    command = ["cargo", "bench", "--package", "propagation", "--bench", "reflected_map"]
    if native:
        flags += ["-C", "target-cpu=native"]
        command += ["--target-dir", str(TARGET / "native")]
    return command, flags, {**os.environ, "RUSTFLAGS": " ".join(flags)}


def compile_ours(native):
    command, _, environment = bench(native)
    run([*command, "--no-run"], cwd=WORKSPACE, env=environment)


def ours(native):
    """Our figures, from what the bench prints."""
    command, flags, environment = bench(native)
    out = run(command, cwd=WORKSPACE, env=environment)
    found = OURS.search(out)
    if not found:
        raise SystemExit(f"cannot read what the bench `reflected_map` printed:\n{out}")
    features = run(["rustc", "--print", "cfg", *flags], cwd=WORKSPACE)
    names = [name for name in SIMD if f'target_feature="{name}"' in features]
    median, least, processor, rms = (float(part) for part in found.groups())
    return {
        "method": "ours, all that this processor has" if native else "ours, as released",
        "instructions": ("up to " if native else "") + names[-1].upper() if names else "unknown",
        "threads": 2,
        "wall_s": median / 1e3,
        "least_s": least / 1e3,
        "cpu_s": processor / 1e3,
        "rms_db": rms,
    }


def in_environment(python, program, *arguments):
    return json.loads(run([python, str(HERE / program), *arguments]).strip().splitlines()[-1])


def python_of(folder):
    """The virtual environment's Python, once it has what is needed."""
    python = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
    how = (
        f"make it so:\n  python3 -m venv {folder}\n  {folder}/bin/pip install -r {HERE / 'requirements.txt'}\n"
        "and give its folder with --venv"
    )
    if not python.exists():
        raise SystemExit(f"there is no virtual environment in {folder}; {how}")
    for module in ("numpy", "sionna.rt"):
        if subprocess.run([python, "-c", f"import {module}"], capture_output=True).returncode != 0:
            raise SystemExit(f"the virtual environment in {folder} has no `{module}` that can be loaded; {how}")
    return python


def processor_name():
    try:
        for line in pathlib.Path("/proc/cpuinfo").read_text().splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    except OSError:
        pass
    return platform.processor() or "unknown processor"


def load():
    return os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")


def rays(text):
    """A number of rays as it was written, once it is one."""
    if not 1.0 <= float(text) <= 1e9:
        raise ValueError
    return text


def number(value, places):
    """Where the system does not tell a thread's time, the bench has none."""
    return f"{value:.{places}f}" if math.isfinite(value) else "unknown"


def table(rows):
    head = ["method", "instructions", "threads", "wall s", "CPU s", "RMS dB", "wall to ours", "CPU to ours"]
    base = rows[0]
    cells = [head]
    for row in rows:
        figures = [number(row[key], 4) for key in ("wall_s", "cpu_s", "rms_db")]
        ratios = [number(row[key] / base[key] if math.isfinite(base[key]) else math.inf, 1) for key in ("wall_s", "cpu_s")]
        cells.append([row["method"], row["instructions"], str(row["threads"]), *figures, *ratios])
    widths = [max(len(row[i]) for row in cells) for i in range(len(head))]
    rule = ["-" * width for width in widths]
    return "\n".join("| " + " | ".join(c.ljust(w) for c, w in zip(row, widths)) + " |" for row in [head, rule, *cells[1:]])


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--venv", type=pathlib.Path, default=TARGET / "outside-maps", help="the virtual environment's folder")
    parser.add_argument("--rays", nargs="*", type=rays, default=RAYS, help="rays per transmitter of the library's runs")
    parser.add_argument("--runs", type=int, default=5, help="runs of the library, of which the median counts")
    parser.add_argument("--native", action="store_true", help="also ours compiled for this very processor")
    arguments = parser.parse_args()
    if arguments.runs < 1:
        parser.error("--runs must be at least 1")
    python = python_of(arguments.venv)

    before = load()
    # Compiled before anything is timed.
    for native in [False, True] if arguments.native else [False]:
        compile_ours(native)
    rows = [ours(False)]
    if arguments.native:
        rows.append(ours(True))
    rows.extend(in_environment(python, "ray_library.py", n, str(arguments.runs)) for n in arguments.rays)
    numpy = in_environment(python, "image_method.py", "2")
    rows.append(numpy)

    print(f"{processor_name()}, {os.cpu_count()} processors; {platform.machine()}; load before {before:.1f}")
    print(f"{run(['rustc', '--version'], cwd=WORKSPACE).strip()}; Python {platform.python_version()}")
    print(
        "wall: median of 21 runs of ours, of "
        f"{arguments.runs} of the library (after two to warm up), one of NumPy; CPU: the least of them, ours on one thread\n"
    )
    print(table(rows))
    print()
    for row in rows:
        if "rms_range_db" in row:
            low, high = row["rms_range_db"]
            print(
                f"{row['method']}: RMS {low:.2f} to {high:.2f} dB over the runs, mean {row['mean_db']:+.2f} dB; first run,"
                f" compiled or read from its cache, {row['first_s']:.1f} s; LLVM {row['llvm']}"
            )
    print(
        f"paths at all points of the map: {numpy['paths']:,}; {numpy['crossings']:,} crossings,"
        f" {numpy['reflections']:,} reflections"
    )
    base = rows[0]
    for row in rows[1:]:
        if not row["method"].startswith("ours"):
            ratio = base["wall_s"] / row["wall_s"]
            print(
                f"BENCH reflected-map-against-{row['name']} ours={base['wall_s'] * 1e3:.2f} ms"
                f" peer={row['wall_s'] * 1e3:.0f} ms ratio={ratio:.4f}"
            )
    if arguments.native:
        wall, processor = (number(base[key] / rows[1][key], 2) for key in ("wall_s", "cpu_s"))
        print(f"as released to all that this processor has: {wall} wall, {processor} CPU")
    if before > BUSY:
        print(f"\nThe load was {before:.1f} before the run: the machine was busy, and the wall times do not count.")


if __name__ == "__main__":
    main()
