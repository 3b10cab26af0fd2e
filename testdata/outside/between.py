"""What lies between the measured points: the supply exponent and the load lines.

Linear least squares on logarithms for the exponent, and for a load line the source
with an inner resistance that is nearest to the points, by Newton's method on the
two conditions of the least weighted sum of squares. The uncertainties come from
moving each raw input a little and fitting again, weights kept.
"""
import math
from collections import defaultdict
from dataclasses import replace

from decide import at_limit
from propagate import Raw, propagate

SPAN = 1.05
NEAR = 0.03


def stated_common(source):
    """Whether an error is stated as one in all readings on a range: a gain, or a correction."""
    return " gain to " in source.name or " correction to " in source.name


def usable(run):
    """The channels of a run that may stand in a fit."""
    method = run.method
    if run.rec.get("outcome", "completed") != "completed" or method["signal"] != "continuous" or "thdn_pct" not in method:
        return []
    return [c for c in run.channels if at_limit(c, method["thdn_pct"])]


def apart(raw, where):
    """A reading whose own errors, not its gain, are other ones in another place."""
    def other(s):
        kept = s.name.startswith(("load ", "pool ")) or stated_common(s)
        return s if kept else replace(s, name=f"{s.name} @ {where}")
    return Raw(raw.value, tuple((other(s), u) for s, u in raw.parts))


def own(sources, loads):
    """The sources that a weight counts: not what is stated as common, and loads if asked for."""
    return [s for s in sources if not stated_common(s) and (loads or not s.name.startswith("load "))]


def exponent_groups(runs):
    """(run, channel) pairs that differ in the supply voltage only."""
    groups = defaultdict(list)
    for run in runs.values():
        alike = (run.rec["method"], run.rec.get("freq_hz"), str(run.rec["load"]), tuple(c.name for c in run.channels))
        for c in usable(run):
            moved = replace(c, volts=apart(c.volts, run.id), hot=apart(c.hot, run.id))
            groups[alike, c.name].append((replace(run, supply_v=apart(run.supply_v, run.id)), moved))
    spans = {g: [r.supply_v.value for r, _ in pairs] for g, pairs in groups.items()}
    return [pairs for g, pairs in groups.items() if max(spans[g]) >= SPAN * min(spans[g])]


def exponent(runs):
    """The supply exponent as a figure; None where runs give none."""
    groups = exponent_groups(runs)
    if not groups:
        return None
    weights, k = [], 1.0

    def fit(e):
        top = bottom = 0.0
        for pairs, w in zip(groups, weights):
            x = [math.log(r.supply_v(e)) for r, _ in pairs]
            y = [math.log(c.power(e)) for _, c in pairs]
            mx = sum(a * b for a, b in zip(w, x)) / sum(w)
            my = sum(a * b for a, b in zip(w, y)) / sum(w)
            top += sum(a * (b - mx) * (c - my) for a, b, c in zip(w, x, y))
            bottom += sum(a * (b - mx) ** 2 for a, b in zip(w, x))
        return top / bottom

    for _ in range(8):
        weights = [[weight(lambda e, r=r, c=c: math.log(c.power(e)) - k * math.log(r.supply_v(e)),
                           own(c.sources() + r.supply_v.sources(), loads=False)) for r, c in pairs] for pairs in groups]
        k = fit({})
    return propagate(fit, [s for pairs in groups for r, c in pairs for s in c.sources() + r.supply_v.sources()])


def weight(f, sources):
    return 1 / propagate(f, sources).u ** 2


def line_points(runs, method, name):
    """The (run, channel) pairs of a load line, by load element from high to low."""
    pairs = [(r, c) for r in runs.values() if r.rec["method"] == method for c in usable(r) if c.name == name]
    volts = sorted(r.supply_v.value for r, _ in pairs)
    middle = (volts[(len(volts) - 1) // 2] + volts[len(volts) // 2]) / 2 if volts else 0
    elements = defaultdict(list)
    for r, c in pairs:
        if abs(r.supply_v.value - middle) <= NEAR * middle:
            element = c.ohm.sources()[0].name
            elements[element].append(replace(c, volts=apart(c.volts, element), hot=apart(c.hot, element)))
    return sorted(elements.values(), key=lambda cs: -cs[0].ohm.value)


def source(p, r, w):
    """E and Rs nearest to points: Newton's method from the straight line in √(R/P)."""
    n, y = len(p), [math.sqrt(b / a) for a, b in zip(p, r)]
    mr, my = sum(r) / n, sum(y) / n
    b = sum((x - mr) * (z - my) for x, z in zip(r, y)) / sum((x - mr) ** 2 for x in r)
    e, rs = 1 / b, (my - b * mr) / b
    for _ in range(30):
        ge = gs = ee = es = ss = 0.0
        for a, x, c in zip(p, r, w):
            t = x + rs
            f = e * e * x / t**2
            fe, fs = 2 * f / e, -2 * f / t
            ge, gs = ge + c * (a - f) * fe, gs + c * (a - f) * fs
            ee += c * ((a - f) * 2 * f / e**2 - fe * fe)
            es += c * ((a - f) * -4 * f / (e * t) - fe * fs)
            ss += c * ((a - f) * 6 * f / t**2 - fs * fs)
        det = ee * ss - es * es
        e, rs = e - (ss * ge - es * gs) / det, rs - (ee * gs - es * ge) / det
    return e, rs


def load_line(elements):
    """E, Rs and χ² of the line through elements' mean powers."""
    def mean(cs, f, e):
        return sum(f(c)(e) for c in cs) / len(cs)

    def points(e):
        return [mean(cs, lambda c: c.power, e) for cs in elements], [mean(cs, lambda c: c.resistance, e) for cs in elements]

    p, r = points({})
    weights = [1 / a**2 for a in p]
    for _ in range(8):
        volts, rs = source(p, r, weights)

        def residual(e, cs):
            x = mean(cs, lambda c: c.resistance, e)
            return mean(cs, lambda c: c.power, e) - volts**2 * x / (x + rs) ** 2

        weights = [weight(lambda e, cs=cs: residual(e, cs), own([s for c in cs for s in c.sources()], loads=True)) for cs in elements]
    volts, rs = source(p, r, weights)
    sources = [s for cs in elements for c in cs for s in c.sources()]
    chi2 = sum(w * (a - volts**2 * x / (x + rs) ** 2) ** 2 for w, a, x in zip(weights, p, r))
    return (propagate(lambda e: source(*points(e), weights)[0], sources),
            propagate(lambda e: source(*points(e), weights)[1], sources), chi2)
