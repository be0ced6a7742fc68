"""Published worked examples, copied as numbers. Sources beside each; "from memory" where no copy was at hand."""

from __future__ import annotations

PURDUE_ASM215 = {
    # engineering.purdue.edu, ASM 215, surveying: a five-leg traverse adjusted by the compass rule, feet and degrees.
    "azimuth_deg": [26.166667, 104.583333, 195.5, 358.3, 306.9],
    "length": [285.10, 610.45, 720.48, 203.00, 647.02],
    "lat": [255.88, -153.70, -694.28, 202.91, 388.48],
    "dep": [125.72, 590.78, -192.54, -6.02, -517.41],
    "misclosure": (-0.71, 0.53),
    "linear": 0.89,
    "precision": 2771,
    "coords_NE": [
        (10000.0, 10000.0),
        (10255.96, 10125.66),
        (10102.44, 10716.31),
        (9408.37, 10523.62),
        (9611.34, 10517.55),
    ],
    "tolerance": 0.011,
}

COMPASS_FOUR_COURSES = {
    # The compass rule on four courses (perimeter 267.5). Once attributed to jerrymahun.com, chapter E2, where it was
    # not found: source not traced, so no published oracle. By the rule: correction_i = -closure L_i / sum L.
    "length": [80.40, 46.30, 72.80, 68.00],
    "closure": (0.285, -0.311),
    "correction_lat": [0.0857, 0.0493, 0.0776, 0.0724],
    "correction_dep": [0.0935, 0.0538, 0.0847, 0.0791],
}

MAHUN_LEVELS = {
    # jerrymahun.com, chapters D4 and E4: a level net between four bench marks; (from, to, difference, set-ups).
    "fixed": {"A": 806.52, "B": 818.32, "C": 820.12, "D": 824.04},
    "observed": [
        ("A", "Q", 8.91, 3),
        ("B", "Q", -2.92, 2),
        ("C", "Q", -4.67, 1),
        ("D", "Q", -8.66, 3),
        ("A", "R", -3.56, 3),
        ("C", "R", -17.12, 4),
        ("D", "R", -21.10, 2),
        ("Q", "R", -12.47, 3),
    ],
    "plain": {"Q": 815.418, "R": 802.962, "S0": 0.028, "sdQ": 0.013, "sdR": 0.014},
    "weighted": {"Q": 815.424, "R": 802.958, "S0": 0.067},
    "tolerance": 0.0015,
}

STRANG_BORRE_LEVELS = {
    # Strang & Borre, Linear Algebra, Geodesy, and GPS: a level net of five lines; (from, to, difference, km).
    "fixed": {"A": 10.021, "B": 10.321, "C": 11.002},
    "observed": [
        ("A", "E", 0.732, 0.970),
        ("A", "F", 1.978, 1.002),
        ("B", "E", 0.420, 1.070),
        ("C", "F", 0.988, 1.110),
        ("E", "F", 1.258, 0.890),
    ],
    "sigma_per_sqrt_km": 0.006,
    "sum_of_squares": 4.636,
    "error_factor": 1.243,
    "bounds": (0.268, 1.765),
    # The next three recomputed from the same data with NumPy.
    "heights": {"E": 10.7445, "F": 11.9976},
    "redundancy": [0.614, 0.618, 0.650, 0.655, 0.462],
    "standardised": [1.835, 0.292, 0.700, 1.489, 1.269],
}

GAMA_LOOP_TWICE = {
    # GNU Gama, the example 1doutput: a closed loop levelled there and back; metres, sigma 5 mm.
    "fixed": {"1a": 1000.0},
    "observed": [
        ("1a", "4", -1.225),
        ("4", "3", -0.848),
        ("3", "2", 1.342),
        ("2", "1a", 0.720),
        ("1a", "2", -0.724),
        ("2", "3", -1.335),
        ("3", "4", 0.842),
        ("4", "1a", 1.231),
    ],
    "sigma": 0.005,
    "heights": {"4": 998.77513, "3": 997.93325, "2": 999.27487},
    "sd_mm": {"4": 3.1, "3": 3.5, "2": 3.1},
    "sum_of_squares_mm2": 146.625,
    "m0_mm": 5.42,
    "largest": (6, 1.68),
    "critical": 1.96,
    "redundancy": 5,
}

GHILANI_WOLF_LEVELS = {
    # Ghilani & Wolf, Adjustment Computations: a level net of three unknowns; from memory.
    "fixed": {"X": 100.00, "Y": 107.50},
    "observed": [
        ("X", "A", 5.10),
        ("A", "Y", 2.34),
        ("Y", "C", -1.25),
        ("C", "X", -6.13),
        ("A", "B", -0.68),
        ("Y", "B", -3.00),
        ("B", "C", 1.70),
    ],
    "heights": {"A": 105.141, "B": 104.483, "C": 106.188},
    "S0": 0.050,
}

NIST_OUTLIER = {
    # NIST/SEMATECH e-Handbook of Statistical Methods, Grubbs' test on eight uranium values; from memory, recomputed.
    "values": [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57],
    "G": 2.4688,
    "G_critical_one_sided_05": 2.032,
    "tau": 2.6392,
    "tau_critical_two_sided_05_bonferroni": 2.2735,
}

AREAS = [
    # jerrymahun.com, areas by coordinates.
    ([(500.000, 2000.000), (323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)], 102_935.7),
    (
        [(406.31, 1259.97), (235.12, 1489.47), (65.81, 1126.40), (317.89, 942.04), (675.32, 1282.54)],
        140_493.1,
    ),
]
