#!/usr/bin/env python3
"""Sets the contention models beside the ns-3 packet simulator, both run here.

    python3 crates/wlan/outside/compare_contention.py [--keep FILE.json]

Installs the ns-3 wheel of the Python package index into a virtual environment under target/, compiles scenario.cc against its
headers, runs the cases below, then hands them to the example `contention_cases`, which prints simulated and predicted values.
The times printed are the simulator's for each case. With --keep the cases are written to a file as well.

The wheel is what the index has, built with assertions and logging; a build of one's own is faster.
"""

import json
import pathlib
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[2]
WORK = ROOT / "target" / "packet-simulator"
PARTS = "applications core internet mobility network wifi spectrum propagation antenna stats bridge traffic-control config-store point-to-point energy buildings"
# Without spaces: the simulator reads an argument up to the first one.
FIVE = "{36,20,BAND_5GHZ,0}"
EIGHTY = "{42,80,BAND_5GHZ,0}"
TWO = "{6,20,BAND_2_4GHZ,0}"

A = {"std": "a", "channel": FIVE, "mode": "OfdmRate54Mbps", "nss": 1, "ampdu": 0}
N = {"std": "n20", "channel": TWO, "mode": "HtMcs15", "nss": 2}
AX = {"std": "ax80", "channel": EIGHTY, "mode": "HeMcs11", "nss": 2}

# More than can be carried, in all stations.
SATURATED = [
    {**A, "label": "two_aps", "n_ap": 2, "n": 2, "mbps": 20, "seconds": 5, "separation": 5},
    {**A, "label": "two_aps", "n_ap": 2, "n": 3, "dir": "dl", "mbps": 15, "seconds": 5, "separation": 5},
    {**N, "label": "two_aps", "n_ap": 2, "n": 3, "mbps": 40, "seconds": 2, "separation": 5},
    {**AX, "label": "two_aps", "n_ap": 2, "n": 2, "dir": "dl", "mbps": 400, "seconds": 1, "separation": 5},
    {**AX, "label": "mode", "mode": "HeMcs4", "n": 4, "mbps": 150, "seconds": 1},
    {**AX, "label": "mode", "mode": "HeMcs7", "nss": 1, "n": 8, "mbps": 60, "seconds": 1},
    {**N, "label": "mode", "mode": "HtMcs3", "nss": 1, "n": 6, "mbps": 10, "seconds": 3},
    {**AX, "label": "aggregate", "n": 4, "ampdu": 8000, "mbps": 150, "seconds": 1},
    {**N, "label": "small", "payload": 200, "n": 4, "mbps": 20, "seconds": 2},
    {**N, "label": "slow", "n_slow": 1, "slow": "HtMcs8", "n": 4, "mbps": 40, "seconds": 2},
]

# Less than can be carried, or near it.
LOADED = [
    {**AX, "label": "loaded", "n": 5, "mbps": 20, "seconds": 2},
    {**AX, "label": "loaded", "n": 5, "mbps": 80, "seconds": 1},
    {**AX, "label": "loaded", "n": 5, "mbps": 110, "seconds": 1},
    {**AX, "label": "loaded", "n": 6, "dir": "dl", "mbps": 60, "seconds": 1},
    {**N, "label": "loaded", "n": 5, "mbps": 4, "seconds": 4},
    {**N, "label": "loaded", "n": 5, "mbps": 12, "seconds": 3},
    {**A, "label": "loaded", "n": 5, "mbps": 2, "seconds": 10},
    {**A, "label": "loaded", "n": 5, "mbps": 4, "seconds": 10},
    {**A, "label": "loaded", "n": 4, "dir": "dl", "mbps": 4, "seconds": 10},
    {**A, "label": "loaded_slow", "n": 5, "n_slow": 1, "slow": "OfdmRate6Mbps", "mbps": 2, "slow_mbps": 0.5, "seconds": 10},
]


def build() -> pathlib.Path:
    """The scenario program, built once."""
    program = WORK / "scenario"
    if program.exists() and program.stat().st_mtime > (HERE / "scenario.cc").stat().st_mtime:
        return program
    venv = WORK / "venv"
    if not venv.exists():
        subprocess.run([sys.executable, "-m", "venv", venv], check=True)
        subprocess.run([venv / "bin" / "pip", "install", "-q", "ns3==3.44.post0"], check=True)
    home = next(venv.glob("lib/python3*/site-packages/ns3"))
    libraries = [f"-lns3.44-{part}" for part in PARTS.split()]
    flags = ["-std=c++20", "-O2", f"-I{home}/include", HERE / "scenario.cc", "-o", program]
    subprocess.run(["g++", *flags, f"-L{home}/lib64", f"-Wl,-rpath,{home}/lib64", *libraries], check=True)
    return program


def main() -> None:
    WORK.mkdir(parents=True, exist_ok=True)
    program = build()
    cases = []
    for case in SATURATED + LOADED:
        arguments = [f"--{key}={value}" for key, value in case.items()]
        answer = json.loads(subprocess.run([program, *arguments], check=True, capture_output=True, text=True).stdout)
        print(f"{answer['label']}: {answer['wall_s']:.1f} s for {answer['warmup_s'] + answer['measured_s']:.1f} s", flush=True)
        cases.append(answer)
    file = WORK / "cases.json"
    about = "ns-3.44 packet simulator; scenario.cc and compare_contention.py of this folder"
    text = json.dumps({"simulator": about, "cases": cases}, indent=1)
    file.write_text(text)
    if "--keep" in sys.argv:
        pathlib.Path(sys.argv[sys.argv.index("--keep") + 1]).write_text(text)
    example = ["cargo", "run", "--release", "-q", "-p", "wlan", "--example", "contention_cases", "--", file]
    subprocess.run(example, check=True, cwd=ROOT)


if __name__ == "__main__":
    main()
