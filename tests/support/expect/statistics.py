#!/usr/bin/env python3
"""Rebuilds tests/support/expect/statistics.tsv: statistics of seeded random samples by NumPy and SciPy.

    python3 tests/support/expect/statistics.py > tests/support/expect/statistics.tsv

The samples are not stored: both sides draw them from the same generator (splitmix64) and round them to a tenth, so the table
holds results only. Tolerance factors are integrated here by SciPy's quad and brentq, the one-sided one by its noncentral t.
"""
import sys
import numpy as np
from scipy import integrate, optimize, stats

MASK = (1 << 64) - 1


class Draw:
    def __init__(self, seed):
        self.state = seed

    def next(self):
        self.state = (self.state + 0x9E3779B97F4A7C15) & MASK
        z = self.state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
        return z ^ (z >> 31)


def sample(case):
    d = Draw(case)
    n = 8 + d.next() % 53
    centre = 1000 + d.next() % 4000
    width = 20 + d.next() % 600
    # sum of four uniform whole numbers: near normal, in tenths
    return [(centre + sum(d.next() % width for _ in range(4))) / 10 for _ in range(n)], d


def k2(n, p, conf):
    df = n - 1

    def r(x):
        return optimize.brentq(lambda h: stats.norm.cdf(x + h) - stats.norm.cdf(x - h) - p, 0, x + 20, xtol=1e-13)

    def reached(k):
        return 2 * integrate.quad(lambda z: stats.chi2.sf(df * (r(z / np.sqrt(n)) / k) ** 2, df) * stats.norm.pdf(z), 0, 9,
                                  epsabs=1e-11, epsrel=1e-10, limit=200)[0] - conf
    return optimize.brentq(reached, 0.5, 400, xtol=1e-10)


def k1(n, p, conf):
    return stats.nct.ppf(conf, n - 1, stats.norm.ppf(p) * np.sqrt(n)) / np.sqrt(n)


def row(case):
    x, d = sample(case)
    x = np.array(x)
    n = len(x)
    m, s = x.mean(), x.std(ddof=1)
    t = stats.t.ppf(0.975, n - 1)
    c = stats.chi2.ppf([0.975, 0.025], n - 1)
    dev = x - m
    q = np.quantile(x, [0.25, 0.5, 0.75], method="weibull")
    q7, q8 = np.quantile(x, 0.9), np.quantile(x, 0.9, method="median_unbiased")
    mad = stats.median_abs_deviation(x, scale="normal")
    tg = stats.t.ppf(1 - 0.05 / (2 * n), n - 2)
    a2 = stats.anderson(x).statistic
    above = x >= np.median(x)
    n1, n2 = above.sum(), (~above).sum()
    runs = 1 + (above[1:] != above[:-1]).sum()
    e = 2 * n1 * n2 / n + 1
    v = 2 * n1 * n2 * (2 * n1 * n2 - n) / (n * n * (n - 1))
    fit = stats.linregress(np.arange(n), x)
    low, high = m - 2.5 * s, m + 3.5 * s
    cpk = min(m - low, high - m) / (3 * s)
    half = stats.norm.ppf(0.975) * np.sqrt(1 / (9 * n) + cpk ** 2 / (2 * (n - 1)))
    u = s / 3
    pc = stats.norm.cdf((high - x[0]) / u) - stats.norm.cdf((low - x[0]) / u)
    return [n, m, s, *q, q7, q8, mad, (dev[:-1] * dev[1:]).sum() / (dev ** 2).sum(), m - t * s / np.sqrt(n), s * np.sqrt((n - 1) / c[0]),
            s * np.sqrt((n - 1) / c[1]), abs(dev).max() / s, (n - 1) / np.sqrt(n) * np.sqrt(tg * tg / (n - 2 + tg * tg)), a2,
            (runs - e) / np.sqrt(v), fit.slope, fit.stderr, cpk - half, pc]


def main():
    print("# case n mean sd q1 median q3 p90_rule7 p90_rule8 mad lag1 mean_low sd_low sd_high grubbs grubbs_critical a2 runs_z slope slope_se cpk_low p")
    for case in range(1, 2501):
        print("\t".join([str(case)] + ["%.11g" % v for v in row(case)]))
    print("# factor n coverage confidence k2 k1")
    for n in (2, 3, 4, 5, 7, 10, 15, 25):
        for p in (0.75, 0.90, 0.95, 0.99):
            for conf in (0.90, 0.95, 0.99):
                if n == 2 and conf == 0.99:
                    continue  # factors beyond what the bracket above holds
                print("\t".join(["factor", str(n), str(p), str(conf), "%.9g" % k2(n, p, conf), "%.9g" % k1(n, p, conf)]))


sys.exit(main())
