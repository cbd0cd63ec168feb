#!/usr/bin/env python3
"""High-precision tail values for the links and the test distributions.

Usage: python3 tails.py OUTDIR

Writes normal.csv, logit.csv, cloglog.csv, student.csv and chisq.csv. Every
argument column holds a float64 printed with 17 significant digits; the value
beside it is computed by mpmath at exactly that float64, with 60 digits, and
printed with 25. Nothing here depends on the C library's own special functions.
"""
import os
import platform
import random
import sys

import mpmath
from mpmath import mp, mpf

mp.dps = 60
DIGITS = 25
SMALLEST = mpf(10) ** -300  # below this a probability is left empty: only its log is safe


def text(value):
    """value in e-notation with DIGITS significant digits."""
    return mp.nstr(value, DIGITS, min_fixed=0, max_fixed=0, strip_zeros=True)


def probability(value):
    return text(value) if value >= SMALLEST else ""


def exact(x):
    """The float64 x with 17 significant digits, which identify it uniquely."""
    s = "%.17g" % x
    assert float(s) == x
    return s


# Each link returns (log F, log (1-F), F, 1-F) without any subtraction that cancels.


def normal(eta):
    lower, upper = mp.erfc(-eta / mp.sqrt(2)) / 2, mp.erfc(eta / mp.sqrt(2)) / 2
    if eta > 0:
        return mp.log1p(-upper), mp.log(upper), lower, upper
    return mp.log(lower), mp.log1p(-lower), lower, upper


def logit(eta):
    lower, upper = 1 / (1 + mp.exp(-eta)), 1 / (1 + mp.exp(eta))
    return -mp.log1p(mp.exp(-eta)), -mp.log1p(mp.exp(eta)), lower, upper


def cloglog(eta):
    rate = mp.exp(eta)
    lower, upper = -mp.expm1(-rate), mp.exp(-rate)
    log_lower = mp.log1p(-upper) if rate > 1 else mp.log(lower)
    return log_lower, -rate, lower, upper


def unique(points):
    return sorted(set(points))


def spread(rng, low, high, count):
    return [rng.uniform(low, high) for _ in range(count)]


def normal_points(rng):
    out = [0.0, 8.3, 12.345678901234567, 26.6, 37.5, 37.6]
    out += [1e-300, 1e-100, 1e-20, 1e-8, 1e-4, 0.25, 0.46875, 0.5, 0.66291, 0.67448975, 1.0,
            1.4142135623730951, 1.9599639845400545, 4.0, 4.9999999, 5.0, 5.0000001, 5.65685,
            6.0, 8.0, 8.2923611, 10.0, 20.0, 30.0, 36.0, 40.0, 100.0, 1e4]
    out += [0.46874999999999994, 0.46875000000000006]
    out += [k * 0.4 for k in range(95)] + spread(rng, 0, 37.6, 60)
    return unique([v for e in out for v in (e, -e)])


def logit_points(rng):
    out = [0.0, 1e-300, 1e-20, 1e-8, 0.5, 1.0, 2.0, 18.0, 33.3, 36.7, 36.8, 37.0, 40.0, 100.0, 690.0]
    out += [k * 0.5 for k in range(80)] + [40 + k * 20.0 for k in range(33)] + spread(rng, 0, 690, 40)
    return unique([v for e in out for v in (e, -e)])


def cloglog_points(rng):
    out = [0.0, 1e-300, -1e-300, 1e-8, -1e-8, -0.36651292058166435, -690.0, 6.5, -37.0, -36.7, 3.6, 5.0]
    out += [-k * 0.25 for k in range(170)] + [-42 - k * 18.0 for k in range(37)]
    out += [k * 0.05 for k in range(131)] + spread(rng, -690, 0, 30) + spread(rng, -5, 6.5, 40)
    return unique([e for e in out if -690 <= e <= 6.5])


def student_cdf(t, df):
    """P(T <= t) for t > 0: one half plus half a regularized incomplete beta."""
    a, b = mpf(1) / 2, mpf(df) / 2
    y, rest = t * t / (df + t * t), df / (df + t * t)
    if df <= 200:
        return 1 - mp.betainc(b, a, 0, rest, regularized=True) / 2
    # DLMF 8.17.8: a series of positive terms, quick where y is small.
    term, total, k = mpf(1), mpf(1), 0
    while term > total * mp.eps:
        term *= y * (a + b + k) / (a + 1 + k)
        total += term
        k += 1
    return mpf(1) / 2 + y ** a * rest ** b * total / (2 * a * mp.beta(a, b))


def student_density(t, df):
    return (1 + t * t / df) ** (-mpf(df + 1) / 2) / (mp.sqrt(df) * mp.beta(mpf(1) / 2, mpf(df) / 2))


def student_quantile(p, df):
    """Newton from the normal quantile: the CDF is concave for t > 0, so the steps never overshoot."""
    t = mp.sqrt(2) * mp.erfinv(2 * p - 1)
    for _ in range(200):
        step = (p - student_cdf(t, df)) / student_density(t, df)
        t += step
        if abs(step) < t * mpf(10) ** -40:
            return t
    raise ArithmeticError("no convergence for p=%s df=%s" % (p, df))


def write(folder, name, columns, rows):
    with open(os.path.join(folder, name), "w", newline="\n") as out:
        out.write("# tails.py, mpmath %s, Python %s, %d digits\n" % (mpmath.__version__, platform.python_version(), mp.dps))
        out.write(",".join(columns) + "\n")
        for row in rows:
            out.write(",".join(row) + "\n")
    print("%s: %d rows" % (name, len(rows)))


def link_rows(link, points):
    rows = []
    for eta in points:
        log_cdf, log_survival, cdf, survival = link(mpf(eta))
        rows.append([exact(eta), text(log_cdf), text(log_survival), probability(cdf), probability(survival)])
    return rows


def student_rows():
    degrees = [1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 30, 50, 80, 119, 120, 121, 150, 200,
               500, 1000, 100000, 1000000]
    levels = [0.9, 0.95, 0.975, 0.99, 0.995, 0.9995]
    return [[str(df), exact(p), text(student_quantile(mpf(p), df))] for df in degrees for p in levels]


def chisq_rows():
    rows = []
    for df in [1, 2, 3, 5, 10, 17, 50, 200]:
        def tail(x):
            return mp.gammainc(mpf(df) / 2, x / 2, mp.inf, regularized=True)
        rows.append([exact(0.0), str(df), text(mpf(1))])
        for target in ["0.999", "0.99", "0.9", "0.5", "0.3", "0.15", "0.1", "0.05", "0.025", "0.01",
                       "1e-3", "1e-4", "1e-5", "1e-6", "1e-8", "1e-10", "1e-12"]:
            low, high = mpf(0), mpf(1000)
            for _ in range(60):
                middle = (low + high) / 2
                low, high = (middle, high) if tail(middle) > mpf(target) else (low, middle)
            x = float("%.5g" % float(low))
            rows.append([exact(x), str(df), text(tail(mpf(x)))])
    return rows


def self_check():
    """Closed forms that the general routines must reproduce."""
    tiny = mpf(10) ** -35
    p = mpf(0.975)
    assert abs(student_quantile(p, 1) - mp.tan(mp.pi * (p - mpf(1) / 2))) < tiny * 100
    u = 2 * p - 1
    assert abs(student_quantile(p, 2) - u * mp.sqrt(2 / (1 - u * u))) < tiny * 100
    series, direct = student_cdf(mpf(2), 201), 1 - mp.betainc(mpf(201) / 2, mpf(1) / 2, 0, 201 / mpf(205), regularized=True) / 2
    assert abs(series - direct) < tiny


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: python3 tails.py OUTDIR")
    folder, rng = sys.argv[1], random.Random(20260101)
    self_check()
    columns = ["eta", "log_cdf", "log_survival", "cdf", "survival"]
    for name, link, points in [("normal", normal, normal_points), ("logit", logit, logit_points),
                               ("cloglog", cloglog, cloglog_points)]:
        write(folder, name + ".csv", columns, link_rows(link, points(rng)))
    write(folder, "student.csv", ["df", "p", "t"], student_rows())
    write(folder, "chisq.csv", ["x", "df", "p_upper"], chisq_rows())


main()
