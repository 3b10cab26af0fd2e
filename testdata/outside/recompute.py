"""Recomputes the demo's figures from the readings alone.

    python3 recompute.py CONTENT_DIR

prints, for three claims, what the runs and the claim come to. It is written
apart from the program that makes the sheets, from JCGM 100:2008 and JCGM
106:2012 and the meaning of the TOML keys; compare.py holds both against each
other.
"""
import sys

sys.dont_write_bytecode = True

import montecarlo
import student
from bench import Bench, figures
from decide import K_RANGE, M_RANGE, Decision
from propagate import Raw, Source, propagate

CLAIMS = [
    ("dunnocrake-gorsehoop-2", "4-ohm"),          # repeated runs, two channels
    ("dunnocrake-gorsehoop-2", "4-ohm-bridged"),  # a bridged pair
    ("wickerpylon-sumpferret-1", "2-ohm"),        # a supply that sagged
]


def decision(bench, slug, claim_id):
    """The decision on a claim, and the unit's record and runs."""
    record, runs = bench.unit(slug)
    claim = next(c for c in record["claim"] if c["id"] == claim_id)
    return Decision(bench, claim, runs), record, runs


def row(name, f):
    return (f"  {name:34} {f.value:14.6f}  u {f.u:.8g}  dof {f.dof:.6g}  k {f.k:.7g}  U {f.expanded:.7g}")


def print_runs(d):
    for run in d.runs:
        for (channel, what), f in figures(run).items():
            print(row(" ".join(filter(None, (run.id, channel, what))), f))


def print_claim(d):
    for n in d.names:
        runs = "+".join(r.id for r, _ in d.chosen(n))
        print(row(f"mean {n} of {runs}", d.mean(n)))
        print(row(f"level {n} dB", d.level(n)))
    for k in K_RANGE:
        for m in M_RANGE:
            for n in d.names:
                f = d.mean(n, k, m)
                print(row(f"corner k {k} m {m:+.0f} {n}", f), f" P(Y>=L) {f.at_least(d.limit):.10g}")
    low, high = d.over(d.p, +1), d.over(d.p, -1)
    print(f"  limit {d.limit:g} W, {d.n} channel(s), runs on both sides of the voltage: {d.inner}")
    print(f"  p {low[0]:.10g} (k {low[1]:.5f} m {low[2]:+.0f}) ... {high[0]:.10g} (k {high[1]:.5f} m {high[2]:+.0f})")
    print("  bar {:.8f} (k {:.5f} m {:+.0f}) ... {:.8f} (k {:.5f} m {:+.0f}) W".format(
        *d.over(d.low, +1), *d.over(d.high, -1)))
    scale = d.scale()
    print(f"  {d.verdict()}; flips with a shift of {d.flip():+.8f} W,"
          f" or uncertainties times {'none' if scale is None else format(scale, '.8g')}")


def check_montecarlo(bench):
    """Prints whether first order and Monte Carlo agree; returns whether they do.

    The standard deviation of 1e5 draws is good to 0.22 %: 1 % is four and a half
    of that. JCGM 101 draws the scatter of repeats from a t with 8 degrees of
    freedom, whose variance is 8/6 of the estimate's; where that scatter
    dominates, its interval is up to 4 % wider than the one by Welch and
    Satterthwaite, and the draws are good to 0.5 %: 5 %.
    """
    agree = True
    for slug, run, index in (("dunnocrake-gorsehoop-2", "r03", 0), ("wickerpylon-sumpferret-1", "r04", 0)):
        record, runs = bench.unit(slug)
        f = figures(runs[run])[runs[run].channels[index].name, "power"]
        mean, sd, half = montecarlo.power(bench, record, run, index)
        ok = abs(sd / f.u - 1) < 0.01 and abs(half / f.expanded - 1) < 0.05 and abs(mean - f.value) < 0.02 * f.u
        agree = agree and ok
        print(f"Monte Carlo {slug} {run}: mean {mean:.4f} ({f.value:.4f}), sd {sd:.5f} ({f.u:.5f}),"
              f" 95 % half-width {half:.4f} ({f.expanded:.4f}): {'agrees' if ok else 'DIFFERS'}")
    return agree


def check_guide():
    """Prints whether the parts work on the Guide's own numbers; returns whether they do.

    JCGM 100:2008: Table G.2 (95 % and 99 %), and the example of G.4.1, a product
    of three inputs with relative uncertainties 0.25 %, 0.57 % and 0.82 % from
    10, 5 and 15 readings: 1.03 %, 19.0 degrees of freedom.
    """
    table = {1: (12.71, 63.66), 4: (2.78, 4.60), 10: (2.23, 3.17), 19: (2.09, 2.86), 40: (2.02, 2.70)}
    agree = all(abs(student.quantile(p, nu) - t) <= 0.005
                for nu, row_of in table.items() for p, t in zip((0.975, 0.995), row_of))
    x = [Raw(1.0, ((Source(name, dof=dof), u),))
         for name, u, dof in (("a", 0.0025, 9), ("b", 0.0057, 4), ("c", 0.0082, 14))]
    f = propagate(lambda e: x[0](e) * x[1](e) * x[2](e), [s for r in x for s in r.sources()])
    agree = agree and abs(f.u - 0.0103) <= 0.00005 and abs(f.dof - 19.0) <= 0.05
    print(f"JCGM 100, Table G.2 and example G.4.1: {'agrees' if agree else 'DIFFERS'}")
    return agree


def main(content):
    bench = Bench(content)
    for slug, claim in CLAIMS:
        d, _, _ = decision(bench, slug, claim)
        print(f"{slug} {claim}")
        print_runs(d)
        print_claim(d)
    return 0 if all([check_guide(), check_montecarlo(bench)]) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
