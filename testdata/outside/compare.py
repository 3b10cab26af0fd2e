"""Compares the published sheets with figures recomputed from the readings.

    python3 compare.py PUBLIC_DIR CONTENT_DIR

reads PUBLIC_DIR/units/<slug>/sheet.json, prints one line a figure, and exits
with 1 when any of them differs. Exit 2 is a wrong call or a file that isn't there.
"""
import json
import math
import sys
from pathlib import Path

sys.dont_write_bytecode = True

import between
import recompute
from bench import Bench, figures

# An estimate is the same arithmetic in another order: what is left is rounding
# of 64-bit floats and the 12 digits of the file, together below 1e-11.
VALUE = 1e-9
# Uncertainties and what rests on them come from numerical derivatives here, good
# to about 1e-10 of themselves, and from a search for the worst exponent, which
# leaves about 1e-10; 1e-6 is far below the two digits that are published, and far
# above either.
SPREAD = 1e-6
# A probability near 0 has no relative accuracy worth the name: 12 digits of what
# is near 1, and the tail of a t at many standard deviations.
SMALL = 1e-7


class Report:
    """Counts and prints what agrees."""

    def __init__(self):
        self.right = self.wrong = 0
        self.where = ""

    def line(self, name, ours, theirs, ok):
        self.right += ok
        self.wrong += not ok
        print(f"{'agrees ' if ok else 'DIFFERS'} {self.where} {name}: {theirs!r}, recomputed {ours!r}")

    def number(self, name, ours, theirs, relative, absolute=0.0):
        ok = theirs is not None and abs(ours - theirs) <= max(relative * abs(ours), absolute)
        self.line(name, float(f"{ours:.12g}"), theirs, ok)

    def same(self, name, ours, theirs):
        self.line(name, ours, theirs, ours == theirs)

    def figure(self, name, ours, theirs):
        """A figure with its u, degrees of freedom, k and U."""
        if theirs is None:
            self.line(name, ours.value, None, False)
            return
        self.number(name, ours.value, theirs["value"], VALUE)
        self.number(name + " u", ours.u, theirs["u"], SPREAD)
        if math.isinf(ours.dof):
            self.same(name + " dof", None, theirs["dof"])
        else:
            self.number(name + " dof", ours.dof, theirs["dof"], SPREAD)
        self.number(name + " k", ours.k, theirs["k"], SPREAD)
        self.number(name + " U", ours.expanded, theirs["expanded"], SPREAD)


def compare_run(report, run, published):
    """Every figure of one run."""
    channels = {c["channel"]: c for c in published["channels"]}
    for (channel, what), ours in figures(run).items():
        place = channels.get(channel, {}) if channel else published
        name, theirs = " ".join(filter(None, (run.id, channel, what))), place.get(what)
        if what == "out_v":
            # Whether the scatter of repeats belongs to a voltage too is a choice
            # of the sheet; here only the estimate is held against it.
            report.number(name, ours.value, (theirs or {}).get("value"), VALUE)
        else:
            report.figure(name, ours, theirs)


def compare_means(report, d, published):
    """The means that a claim is judged by, and the weakest of them."""
    channels = {c["channel"]: c for c in published.get("channels", [])}
    report.same("channels", d.names, list(channels))
    for n in d.names:
        channel = channels.get(n, {})
        report.same(f"{n} class", "at", channel.get("class"))
        report.same(f"{n} runs", [r.id for r, _ in d.chosen(n)], channel.get("runs"))
        report.figure(f"{n} mean", d.mean(n), channel.get("mean"))
    weakest = d.weakest()
    report.same("weakest", weakest, published.get("weakest"))
    report.figure("level dB", d.level(weakest), published.get("level"))


def compare_corners(report, d, published):
    """The probability at each corner, by name of the corner."""
    corners = {(c["k"], c["m"]): c for c in published.get("corners", [])}
    for k in recompute.K_RANGE:
        for m in recompute.M_RANGE:
            theirs = corners.get((k, m), {}).get("p", {})
            for end in ("low", "high"):
                report.number(f"corner k {k} m {m:+.0f} p {end}", d.p(k, m), theirs.get(end), SPREAD, SMALL)


def compare_claim(report, d, published):
    """A claim: its limit, means, corners, verdict, bar and flip."""
    report.number("limit", d.limit, published["limit_w"], VALUE)
    report.same("verdict", d.verdict(), published["verdict"])
    compare_means(report, d, published)
    compare_corners(report, d, published)
    ends = {"p": (d.over(d.p, +1)[0], d.over(d.p, -1)[0], SMALL), "bar_w": (*d.bar, 0.0)}
    for name, (low, high, absolute) in ends.items():
        theirs = published.get(name, {})
        report.number(name + " low", low, theirs.get("low"), SPREAD, absolute)
        report.number(name + " high", high, theirs.get("high"), SPREAD, absolute)
    flip = published.get("flip", {})
    # A shift is the small difference of two figures as large as the limit, so it is
    # as good as those are.
    report.number("flip shift", d.flip(), flip.get("shift_w"), SPREAD, VALUE * d.limit)
    scale = d.scale()
    if scale is None:
        report.same("flip scale", None, flip.get("scale_u"))
    else:
        report.number("flip scale", scale, flip.get("scale_u"), SPREAD)


# Units whose supply exponent or load lines are recomputed.
BETWEEN = ["fernklaxon-wharfmitten-2", "tansyplough-plovergong-4", "dunnocrake-gorsehoop-2", "wickerpylon-sumpferret-1",
           "gatherstoat-plumbrook-1", "copperdaub-hedgeclank-900"]
# The weights of a fit settle by iteration, and residuals are small differences.
SETTLED = 1e-7


def compare_between(report, runs, published):
    """The supply exponent and the load lines of a unit."""
    k, theirs = between.exponent(runs), published.get("supply_exponent")
    if k is None or theirs is None:
        report.same("supply exponent", k, theirs)
    else:
        report.number("supply exponent", k.value, theirs["k"]["value"], SETTLED)
        report.number("supply exponent u", k.u, theirs["k"]["u"], SPREAD)
        report.number("supply exponent dof", k.dof, theirs["k"]["dof"], SPREAD)
    for line in published.get("load_lines", []):
        elements = between.line_points(runs, line["method"], line["channel"])
        e, rs, chi2 = between.load_line(elements)
        name = f"line {line['channel']} "
        for what, ours, other in (("E", e, line["e"]), ("Rs", rs, line["rs"])):
            report.number(name + what, ours.value, other["value"], SETTLED)
            report.number(name + what + " u", ours.u, other["u"], 1e-5)
        report.number(name + "chi2", chi2, line["chi2"], 1e-5)


def main(public, content, only=None):
    """Compares every unit, or only one."""
    bench, report = Bench(content), Report()
    sheets = {}
    claims = [(slug, claim) for slug, claim in recompute.CLAIMS if only in (None, slug)]
    for slug in dict.fromkeys(slug for slug, _ in claims):
        sheets[slug] = json.loads((Path(public) / "units" / slug / "sheet.json").read_text("utf-8"))
        runs = {r["id"]: r for r in sheets[slug]["runs"]}
        report.where = slug
        for run in bench.unit(slug)[1].values():
            compare_run(report, run, runs[run.id])
    for slug, claim in claims:
        d, _, _ = recompute.decision(bench, slug, claim)
        report.where = f"{slug} {claim}"
        compare_claim(report, d, next(c for c in sheets[slug]["claims"] if c["id"] == claim))
    for slug in BETWEEN:
        if only not in (None, slug):
            continue
        report.where = slug
        compare_between(report, bench.unit(slug)[1], json.loads((Path(public) / "units" / slug / "sheet.json").read_text("utf-8")))
    print(f"{report.right} figures agree, {report.wrong} differ")
    return 1 if report.wrong or not report.right else 0


if __name__ == "__main__":
    if len(sys.argv) not in (3, 4):
        print("usage: python3 compare.py PUBLIC_DIR CONTENT_DIR [UNIT]", file=sys.stderr)
        sys.exit(2)
    try:
        sys.exit(main(*sys.argv[1:]))
    except FileNotFoundError as missing:
        print(missing, file=sys.stderr)
        sys.exit(2)
