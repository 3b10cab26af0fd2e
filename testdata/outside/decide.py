"""The decision on a claim, from the rule of the site and the raw inputs.

A run of the claim's load is carried to the claim's supply voltage V with
(V/Vs)^k, k from 0 to 2.6, and to its nominal load with (R/Rnominal)^m, m from
-1 to 1. At each corner the runs of a channel are averaged, and Student's t gives
the probability that the channel reaches the limit (JCGM 106:2012, 7.4).
"""
import math
from functools import cached_property

from propagate import propagate

K_RANGE = (0.0, 2.6)
M_RANGE = (-1.0, 1.0)


class Decision:
    """One claim that runs at its distortion limit decide."""

    def __init__(self, bench, claim, runs):
        rule = bench.site.get("rule", {})
        usual = {"simple": (0.5, 0.5), "guarded": (0.95, 0.05), "guarded-by-U": (0.975, 0.025)}
        met_from, short_to = usual[rule.get("acceptance", "guarded")]
        self.met_from = rule.get("met_from", met_from)
        short_to = rule.get("short_to", short_to)
        self.claim = claim
        self.limit = claim["power_w"] * (1 - rule.get("allowance_pct", 0) / 100)
        self.runs = [r for r in runs.values() if counts(claim, r)]
        self.n = claim["channels"]
        # ILAC-G8:09/2019, 4.2.1: without a guard band any channel below is short
        self.short_of = short_to if short_to == 0.5 else short_to / self.n
        self.names = [c.name for c in self.runs[0].channels] if self.runs else []
        self.inner = astride([r.supply_v.value for r in self.runs], claim["supply_v"])
        self.cache = {}

    def chosen(self, name):
        """The (run, channel) pairs of a channel that stand at the claim's distortion."""
        pairs = [(r, c) for r in self.runs for c in r.channels if c.name == name]
        return [(r, c) for r, c in pairs if at_limit(c, self.claim["thdn_pct"])]

    def mean(self, name, k=None, m=None):
        """A channel's mean, carried to a corner when k and m are given."""
        if (name, k, m) not in self.cache:
            self.cache[name, k, m] = self.average(name, k, m)
        return self.cache[name, k, m]

    def average(self, name, k, m):
        pairs = self.chosen(name)
        if not pairs:
            raise NotImplementedError(f"claim {self.claim['id']}: no run at its distortion on {name}")
        volts, ohm = self.claim["supply_v"], self.claim["load_ohm"]

        def f(e):
            total = 0.0
            for run, c in pairs:
                p = c.power(e)
                if k is not None:
                    p *= (volts / run.supply_v(e)) ** k * (c.resistance(e) / ohm) ** m
                total += p
            return total / len(pairs)

        sources = [s for _, c in pairs for s in c.sources()]
        if k is not None:
            sources += [s for r, _ in pairs for s in r.supply_v.sources()]
        return propagate(f, sources)

    def level(self, name):
        """A channel's mean against the claim, in decibels."""
        pairs = self.chosen(name)

        def f(e):
            mean = sum(c.power(e) for _, c in pairs) / len(pairs)
            return 10 * math.log10(mean / self.claim["power_w"])

        return propagate(f, [s for _, c in pairs for s in c.sources()])

    def p(self, k, m):
        """The weakest channel's probability at a corner."""
        return min(self.mean(n, k, m).at_least(self.limit) for n in self.names)

    def low(self, k, m):
        """The limit up to which every channel would meet at a corner."""
        return min(self.mean(n, k, m).end(self.met_from, -1) for n in self.names)

    def high(self, k, m):
        """The limit from which some channel would be short at a corner."""
        return min(self.mean(n, k, m).end(1 - self.short_of, +1) for n in self.names)

    def over(self, f, sense):
        """The smallest (sense 1) or largest (-1) f(k, m) over all corners.

        Where runs lie on both sides of the claim's voltage, k takes every value
        between its ends.
        """
        best = []
        for m in M_RANGE:
            best += [(f(k, m), k, m) for k in K_RANGE]
            if self.inner:
                k = worst(lambda k: sense * f(k, m), *K_RANGE)
                best.append((f(k, m), k, m))
        return (min if sense > 0 else max)(best, key=lambda t: t[0])

    def verdict(self, shift=0.0):
        """met, short or open, with the bar's ends taken up by a shift in watts."""
        low, high = self.bar
        if low + shift >= self.limit:
            return "met"
        return "short" if high + shift <= self.limit else "open"

    @cached_property
    def bar(self):
        """The limits at which the claim would just be met, and just be short."""
        return self.over(self.low, +1)[0], self.over(self.high, -1)[0]

    def weakest(self):
        """The channel that decides: the weakest at the corner that decides.

        That is where p is smallest, for a claim that is short where it is largest.
        """
        def missed(k, m):
            return max(self.mean(n, k, m).misses(self.limit) for n in self.names)

        _, k, m = self.over(missed, +1 if self.verdict() == "short" else -1)
        return max(self.names, key=lambda n: self.mean(n, k, m).misses(self.limit))

    def flip(self):
        """The smallest shift of all means that changes the verdict, in watts."""
        low, high = (self.limit - end for end in self.bar)
        return {"met": low, "short": high, "open": min(low, high, key=abs)}[self.verdict()]

    def scale(self):
        """The factor on all uncertainties beyond which the verdict changes, or None.

        With y above the limit everywhere only met can be reached by narrowing,
        with some channel below it at every corner only short. Without a guard
        band the uncertainty decides nothing.
        """
        if self.met_from == 0.5 and self.short_of == 0.5:
            return None
        met = self.over(lambda k, m: min(self.room(self.mean(n, k, m), self.met_from) for n in self.names), +1)[0]
        p = 1 - self.short_of
        short = self.over(lambda k, m: max(-self.room(self.mean(n, k, m), p) for n in self.names), +1)[0]
        return max(met, short) if max(met, short) > 0 else None

    def room(self, figure, probability):
        """How many times t*u a mean lies above the limit."""
        return (figure.value - self.limit) / (figure.end(probability, +1) - figure.value)


def counts(claim, run):
    """Whether a run matches a claim by everything but distortion."""
    if "freq_hz" in claim or "duration_s" in claim or claim.get("quantity", "power") != "power":
        raise NotImplementedError(f"claim {claim['id']}: its conditions are not recomputed here")
    matches = (
        len(run.channels) == claim["channels"]
        and run.bridged == claim.get("bridged", False)
        and all(abs(c.nominal / claim["load_ohm"] - 1) <= 0.01 for c in run.channels)
        and run.method.get("signal", "continuous") == claim.get("signal", "continuous")
        and run.method.get("answers_unstated", False)
        and abs(run.supply_v.value / claim["supply_v"] - 1) <= 0.1)
    if matches and run.rec.get("outcome", "completed") != "completed":
        raise NotImplementedError(f"run {run.id}: a run that did not complete is not recomputed here")
    return matches


def at_limit(channel, limit):
    """Whether a channel's distortion is the limit within its expanded uncertainty."""
    d = propagate(channel.thdn, channel.thdn.sources())
    return abs(d.value - limit) <= d.expanded


def astride(values, x):
    """Whether values lie on both sides of x."""
    return any(v < x for v in values) and any(v > x for v in values)


def worst(f, low, high):
    """The argument of f's smallest value: a coarse look, then golden section."""
    grid = [low + (high - low) * i / 13 for i in range(14)]
    i = min(range(14), key=lambda i: f(grid[i]))
    a, b = grid[max(i - 1, 0)], grid[min(i + 1, 13)]
    ratio = (math.sqrt(5) - 1) / 2
    c, d = b - ratio * (b - a), a + ratio * (b - a)
    at_c, at_d = f(c), f(d)
    while b - a > 1e-5:  # flat there: the value is good to 1e-10
        if at_c < at_d:
            b, d, at_d = d, c, at_c
            c = b - ratio * (b - a)
            at_c = f(c)
        else:
            a, c, at_c = c, d, at_d
            d = a + ratio * (b - a)
            at_d = f(d)
    return (a + b) / 2
