#!/usr/bin/env python3
"""Recomputes every row of fits.csv and lc.csv with mpmath, 40 digits.

Usage: python3 verify.py FOLDER

Shares nothing with the R scripts but the counts in assays.csv: the score is written out in
plain probabilities, its derivatives are differences at 40 digits, and one quadratic gives the
Fieller set. Two Newton steps lead from the written estimate to the exact one. Prints the worst
relative difference of each column and the row it occurs in; exits 1 beyond the tolerance.
"""
import collections
import csv
import os
import sys

from mpmath import mp, mpf

mp.dps = 40
STEP = mpf(10) ** -14
TOLERANCE = 1e-11                                   # estimates, covariances, goodness of fit
LIMIT_TOLERANCE = 1e-8                              # 10^x magnifies the error of far limits, small P that of X2
LIMITS = ("lower", "upper", "excluded_lower", "excluded_upper")


def cdf(link, eta):
    """F, 1-F and the density."""
    if link == "probit":
        return mp.erfc(-eta / mp.sqrt(2)) / 2, mp.erfc(eta / mp.sqrt(2)) / 2, mp.npdf(eta)
    if link == "logit":
        lower, upper = 1 / (1 + mp.exp(-eta)), 1 / (1 + mp.exp(eta))
        return lower, upper, lower * upper
    rate = mp.exp(eta)
    return -mp.expm1(-rate), mp.exp(-rate), rate * mp.exp(-rate)


def quantile(link, p):
    if link == "probit":
        return mp.sqrt(2) * mp.erfinv(2 * p - 1)
    return mp.log(p / (1 - p)) if link == "logit" else mp.log(-mp.log(1 - p))


def t_quantile(df, p=mpf("0.975")):
    """Newton from below; the CDF is concave for t > 0."""
    t = quantile("probit", p)
    while True:
        below = 1 - mp.betainc(mpf(df) / 2, mpf(1) / 2, 0, df / (df + t * t), regularized=True) / 2
        density = (1 + t * t / df) ** (-mpf(df + 1) / 2) / (mp.sqrt(df) * mp.beta(mpf(1) / 2, mpf(df) / 2))
        step = (p - below) / density
        t += step
        if abs(step) < mpf(10) ** -25:
            return t


def containers(assay, mode):
    """(log10 dose or None, n, r) of the containers in the likelihood."""
    if mode == "abbott":
        dead, exposed = (sum(c[i] for c in assay if c[0] == 0) for i in (2, 1))
        rate = mpf(dead) / exposed
        assay = [(d, n, n * max(mpf(0), (mpf(r) / n - rate) / (1 - rate))) for d, n, r in assay if d > 0]
    if mode == "none":
        assay = [c for c in assay if c[0] > 0]
    return [(mp.log10(d) if d > 0 else None, n, mpf(r)) for d, n, r in assay]


def chance(link, a, b, C, x):
    """P, 1-P and the derivatives of P in (a, b, C)."""
    if x is None:
        return C, 1 - C, (mpf(0), mpf(0), mpf(1))
    lower, upper, density = cdf(link, a + b * x)
    slope = (1 - C) * density
    return C + (1 - C) * lower, (1 - C) * upper, (slope, slope * x, upper)


def score(data, link, par, count):
    out = [mpf(0)] * count
    for x, n, r in data:
        P, Q, J = chance(link, *par, x)
        weight = (r / P if r else 0) - ((n - r) / Q if n - r else 0)
        for i in range(count):
            out[i] += weight * J[i]
    return out


def covariance(data, link, par, count):
    H = mp.matrix(count, count)
    for j in range(count):
        up, down = list(par), list(par)
        up[j] += STEP
        down[j] -= STEP
        above, below = score(data, link, up, count), score(data, link, down, count)
        for i in range(count):
            H[i, j] = (above[i] - below[i]) / (2 * STEP)
    return (-H) ** -1


def goodness(data, link, par, count):
    """log-likelihood, deviance, X2 by container and by dose, doses, expected information."""
    loglik = deviance = x2 = mpf(0)
    info, pools = mp.matrix(count, count), {}
    for x, n, r in data:
        P, Q, J = chance(link, *par, x)
        for k, p in ((r, P), (n - r, Q)):
            if k:
                loglik += k * mp.log(p)
                deviance += 2 * k * mp.log(k / (n * p))
        loglik += mp.log(mp.binomial(n, r))
        pool = pools.setdefault(x, [0, mpf(0), P, Q])
        pool[0] += n
        pool[1] += r
        if P > 0:
            x2 += (r - n * P) ** 2 / (n * P * Q)
            for i in range(count):
                for j in range(count):
                    info[i, j] += n * J[i] * J[j] / (P * Q)
    by_dose = sum((r - n * P) ** 2 / (n * P * Q) for n, r, P, Q in pools.values() if P > 0)
    return loglik, deviance, x2, by_dose, len(pools), info


class Worst:
    """The largest difference met per column."""

    def __init__(self):
        self.seen = collections.defaultdict(lambda: (0.0, ""))

    def compare(self, name, got, want, row, absolute=0):
        """Relative to |want|, or to absolute + |want| for quantities that may be zero."""
        size = abs(want) + absolute
        difference = float(abs(mpf(got) - want) / size) if size else float(abs(mpf(got)))
        if difference > self.seen[name][0]:
            self.seen[name] = (difference, " ".join((row["assay"], row["link"], row["mode"])))

    def report(self):
        failed = False
        for name, (difference, where) in self.seen.items():
            loose = name in LIMITS or name.startswith("p_")
            limit = LIMIT_TOLERANCE if loose else TOLERANCE
            failed |= difference > limit
            print("%-15s %.1e  %s%s" % (name, difference, where, "  TOO LARGE" if difference > limit else ""))
        return failed


def check_fit(row, assay, worst):
    """Compares one row of fits.csv and returns what check_limit needs."""
    link, mode = row["link"], row["mode"]
    data, estimated = containers(assay, mode), mode == "estimated"
    par = [mpf(row["a"]), mpf(row["b"]), mpf(0) if mode == "abbott" else mpf(row["C"])]
    count, k = (3 if estimated and par[2] > 0 else 2), (3 if estimated else 2)
    for _ in range(2):
        V = covariance(data, link, par, count)
        move = V * mp.matrix(score(data, link, par, count))
        for i in range(count):
            par[i] += move[i]
    if estimated and count == 2:
        assert score(data, link, par, 3)[2] < 0, "C = 0 is no maximum"
    for name, want in zip("abC"[:count], par):
        worst.compare(name, row[name], want, row)
    for name, (i, j) in {"vaa": (0, 0), "vab": (0, 1), "vbb": (1, 1)}.items():
        worst.compare(name, row[name], V[i, j], row)
    for i, name in enumerate(("se_a", "se_b", "se_C")[:count]):
        worst.compare(name, row[name], mp.sqrt(V[i, i]), row)
    assert (row["se_C"] == "") == (count == 2)
    loglik, deviance, x2, by_dose, doses, info = goodness(data, link, par, count)
    worst.compare("se_b_expected", row["se_b_expected"], mp.sqrt((info ** -1)[1, 1]), row)
    if mode != "abbott":
        worst.compare("loglik", row["loglik"], loglik, row)
        worst.compare("aic", row["aic"], 2 * k - 2 * loglik, row)
    worst.compare("deviance", row["deviance"], deviance, row, absolute=1)
    for kind, value, groups in (("container", x2, len(data)), ("dose", by_dose, doses)):
        df = groups - k
        assert int(row["df_" + kind]) == df
        worst.compare("x2_" + kind, row["x2_" + kind], value, row, absolute=1)
        assert (row["p_" + kind] == "") == (df == 0)
        if df:
            tail = mp.gammainc(mpf(df) / 2, value / 2, mp.inf, regularized=True)
            worst.compare("p_" + kind, row["p_" + kind], tail, row, absolute=mpf(10) ** -200)
    df = len(data) - k
    return par, V, df, (x2 / df if df else mpf(0))


def check_limit(row, fit, quantiles, worst):
    """Compares one row of lc.csv with the roots of the quadratic in x = log10 dose."""
    (a, b, _), V, df, h = fit
    z = quantile(row["link"], mpf(row["p"]) / 100)
    factor, t = mpf(1), quantile("probit", mpf("0.975"))
    if row["rule"] == "when-above-one" and h > 1:
        if df not in quantiles:
            quantiles[df] = t_quantile(df)
        factor, t = h, quantiles[df]
    theta, scale = (z - a) / b, t * t * factor
    worst.compare("lc", row["lc"], mpf(10) ** theta, row)
    worst.compare("log10_se", row["log10_se"], mp.sqrt(factor * (V[0, 0] + 2 * theta * V[0, 1] + theta ** 2 * V[1, 1])) / b, row)
    g = scale * V[1, 1] / b ** 2
    worst.compare("g", row["g"], g, row)
    A, B, D = b * b - scale * V[1, 1], (a - z) * b - scale * V[0, 1], (a - z) ** 2 - scale * V[0, 0]
    disc = B * B - A * D
    kind = "bounded" if g < 1 else "excluded-region" if disc > 0 else "unbounded"
    assert kind == row["kind"], row
    names = {"bounded": LIMITS[:2], "excluded-region": LIMITS[2:], "unbounded": ()}[kind]
    for name, sign in zip(names, (-1, 1) if A > 0 else (1, -1)):
        worst.compare(name, row[name], mpf(10) ** ((-B + sign * mp.sqrt(disc)) / A), row)
    assert all(row[name] == "" for name in LIMITS if name not in names)
    return kind


def rows_of(folder, name):
    with open(os.path.join(folder, name), newline="") as file:
        return list(csv.DictReader(file))


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: python3 verify.py FOLDER")
    folder, worst = sys.argv[1], Worst()
    assays = collections.defaultdict(list)
    for c in rows_of(folder, "assays.csv"):
        assays[c["assay"]].append((mpf(float(c["concentration"])), int(c["exposed"]), int(c["dead"])))
    fits = {(r["assay"], r["link"], r["mode"]): check_fit(r, assays[r["assay"]], worst) for r in rows_of(folder, "fits.csv")}
    quantiles, kinds = {}, collections.Counter()
    for r in rows_of(folder, "lc.csv"):
        kinds[check_limit(r, fits[r["assay"], r["link"], r["mode"]], quantiles, worst)] += 1
    print(len(assays), "assays,", len(fits), "fits,", dict(kinds))
    sys.exit(1 if worst.report() else 0)


main()
