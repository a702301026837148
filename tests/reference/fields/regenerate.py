#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Solve one of the two-dimensional reference fields again, with the general-purpose finite-difference solver Meep.

    apt-get install python3-meep python3-matplotlib python3-h5py
    /usr/bin/python3 tests/reference/fields/regenerate.py s02 433.92

Not part of the ordinary tests: it is here so that anyone can see for himself that the stored field is what Maxwell's
equations say. It reads NAME.json (the plan) and NAME_FREQ.csv (the stored field), sends a short pulse from the
source, takes the field's Fourier component at the wanted frequency with and without the building, and prints how the
patch means compare: bias, RMS difference, largest difference, in decibels.

Two dimensions, electric field out of the plane (vertical antennas, upright walls). Material constants are ITU-R
P.2040's form at the wanted frequency: eps' = a f^b, sigma = c f^d S/m, f in GHz.
"""
import argparse
import csv
import json
import math
import pathlib

import meep as mp
import numpy as np

LIGHT_M_S = 299792458.0
EPS0 = 8.8541878128e-12
PML_M = 0.6
PATCH_M = {433: 0.7, 868: 0.5}


def medium(material, frequency_hz):
    """Meep's medium for one material; lengths are metres and c = 1, so sigma_D = sigma / (eps0 eps' c)."""
    if material.get("pec"):
        return mp.perfect_electric_conductor
    f_ghz = frequency_hz / 1e9
    eps = material["a"] * f_ghz ** material["b"]
    sigma = material["c"] * f_ghz ** material["d"]
    return mp.Medium(epsilon=eps, D_conductivity=sigma / (EPS0 * eps * LIGHT_M_S))


def solids(plan, frequency_hz):
    """Walls as turned boxes about their centre lines, then metal boxes; coordinates relative to the middle."""
    width, height = plan["size_m"]
    media = {name: medium(m, frequency_hz) for name, m in plan["materials"].items()}
    shapes = []
    for wall in plan["walls"]:
        (x0, y0), (x1, y1) = wall["from"], wall["to"]
        length = math.hypot(x1 - x0, y1 - y0)
        along = mp.Vector3((x1 - x0) / length, (y1 - y0) / length)
        shapes.append(mp.Block(
            center=mp.Vector3((x0 + x1) / 2 - width / 2, (y0 + y1) / 2 - height / 2),
            size=mp.Vector3(length, wall["thickness_m"], mp.inf),
            e1=along, e2=mp.Vector3(-along.y, along.x), material=media[wall["material"]]))
    for box in plan.get("boxes", []):
        (x0, y0), (x1, y1) = box["min"], box["max"]
        shapes.append(mp.Block(
            center=mp.Vector3((x0 + x1) / 2 - width / 2, (y0 + y1) / 2 - height / 2),
            size=mp.Vector3(x1 - x0, y1 - y0, mp.inf), material=media[box["material"]]))
    return shapes


def field(plan, shapes, frequency_hz, cell_m, time_ns):
    """|E|^2 on the grid at one frequency, with the grid's coordinates on the plan."""
    width, height = plan["size_m"]
    f = frequency_hz / LIGHT_M_S
    at = mp.Vector3(plan["source"][0] - width / 2, plan["source"][1] - height / 2)
    sim = mp.Simulation(
        cell_size=mp.Vector3(width + 2 * PML_M, height + 2 * PML_M), resolution=1 / cell_m,
        boundary_layers=[mp.PML(PML_M)], geometry=shapes, eps_averaging=True,
        sources=[mp.Source(mp.GaussianSource(f, fwidth=f / 2), component=mp.Ez, center=at)])
    region = mp.Volume(center=mp.Vector3(), size=mp.Vector3(width, height))
    dft = sim.add_dft_fields([mp.Ez], f, f, 1, where=region)
    sim.run(until=time_ns * 1e-9 * LIGHT_M_S)
    ez = sim.get_dft_array(dft, mp.Ez, 0)
    x, y, _, _ = sim.get_array_metadata(dft_cell=dft)
    return np.abs(ez) ** 2, np.asarray(x) + width / 2, np.asarray(y) + height / 2


def patch_gain_db(power, free, x, y, point, patch_m):
    """Mean of |E|^2 over the patch, over the free-space value at its middle, decibels."""
    inside_x = np.abs(x - point[0]) <= patch_m / 2
    inside_y = np.abs(y - point[1]) <= patch_m / 2
    middle = free[np.argmin(np.abs(x - point[0])), np.argmin(np.abs(y - point[1]))]
    return 10 * math.log10(power[np.ix_(inside_x, inside_y)].mean() / middle)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("name", help="plan, such as s02")
    parser.add_argument("mhz", type=float, help="433.92 or 868.3")
    parser.add_argument("--cell", type=float, default=0.02, help="grid step, metres (default 0.02)")
    parser.add_argument("--time", type=float, default=300.0, help="nanoseconds to run (default 300)")
    options = parser.parse_args()
    folder = pathlib.Path(__file__).parent
    plan = json.loads((folder / f"{options.name}.json").read_text())
    band = int(options.mhz)
    with open(folder / f"{options.name}_{band}.csv", newline="") as stored:
        rows = list(csv.DictReader(stored))
    hertz = options.mhz * 1e6
    power, x, y = field(plan, solids(plan, hertz), hertz, options.cell, options.time)
    free, _, _ = field(plan, [], hertz, options.cell, 120.0)
    difference = np.array([
        patch_gain_db(power, free, x, y, (float(r["x_m"]), float(r["y_m"])), PATCH_M[band]) - float(r["gain_db"])
        for r in rows])
    print(f"{options.name} {options.mhz} MHz, {len(rows)} points, cell {options.cell} m: "
          f"bias {difference.mean():+.3f} dB, RMS {np.sqrt((difference ** 2).mean()):.3f} dB, "
          f"largest {np.abs(difference).max():.3f} dB")


if __name__ == "__main__":
    main()
