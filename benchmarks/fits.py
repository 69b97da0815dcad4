"""The other side of FitSpeed: the same knee, data, start and Jacobian through scipy.optimize.curve_fit.

Needs Debian's python3-scipy. Called by FitSpeed; prints a sentence and then the seconds of the median round.
"""

import sys
import time

import numpy as np
import scipy
from scipy.optimize import curve_fit
from scipy.stats import norm

folder, sets, points, grid, sigma = sys.argv[1], *map(int, sys.argv[2:5]), float(sys.argv[5])
start = [float(v) for v in sys.argv[6:11]]
data = np.fromfile(folder + "/data.bin").reshape(sets, points, 2)
where = 280.0 * np.arange(grid) / (grid - 1)
factor = norm.ppf(0.975)


def volts(x, a, b, c, k, w):
    t = x - k
    return a - b * x - 0.5 * c * (t + np.sqrt(t * t + w * w))


def slopes(x, a, b, c, k, w):
    t = x - k
    root = np.sqrt(t * t + w * w)
    return np.column_stack([np.ones_like(x), -x, -0.5 * (t + root), 0.5 * c * (1 + t / root), -0.5 * c * w / root])


def all_fits():
    results = np.empty((sets, 5 + grid))
    errors = np.full(points, sigma)
    for k in range(sets):
        x, y = data[k, :, 0], data[k, :, 1]
        p, cov = curve_fit(
            volts, x, y, start, errors, absolute_sigma=True, jac=slopes, ftol=1e-13, xtol=1e-13, gtol=1e-13, check_finite=True
        )
        j = slopes(where, *p)
        results[k, :5] = p
        results[k, 4] = abs(p[4])
        results[k, 5:] = factor * np.sqrt(np.einsum("ij,jk,ik->i", j, cov, j))
    return results


rounds = []
for _ in range(3):
    began = time.process_time()
    found = all_fits()
    rounds.append(time.process_time() - began)
found.tofile(folder + "/results.bin")
seconds = sorted(rounds)[1]
print(f"there: scipy {scipy.__version__}, numpy {np.__version__}, the same in {seconds:.3f} s of processor time (median of 3), {1e6 * seconds / sets:.1f} µs a fit")
print(repr(seconds))
