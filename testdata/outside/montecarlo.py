"""Monte Carlo (JCGM 101:2008) of one run's power, straight from the TOML numbers.

It shares nothing with propagate.py but the numbers that come out: each raw input
is drawn from its own rectangle, the scatter of repeats from a normal law for the
standard deviation, and from a scaled t for the 95 % interval (JCGM 101, 6.4.9).
"""
import math
import random
import statistics


def spec(ranges, quantity, x):
    """Half-width of the specification of the smallest range that holds x."""
    r = min((r for r in ranges if r["reads"] == quantity and x <= r["to"]), key=lambda r: r["to"])
    if set(r) - {"reads", "to", "reading_pct", "range_pct", "digits", "resolution", "gain_common"}:
        raise NotImplementedError(f"{quantity}: only half-widths, rectangular")
    return (r.get("reading_pct", 0) * x + r.get("range_pct", 0) * r["to"]) / 100 + (
        r.get("digits", 0) * r.get("resolution", 0))


def draw(rng, load, volts, volts_pm, hot, hot_pm):
    """One power at the unit's terminals, without the scatter of repeats."""
    def around(x, half_width):
        return x + half_width * rng.uniform(-1, 1)

    tempco = around(load["tempco_ppm"], load["tempco_pm_ppm"]) * 1e-6
    r = around(load["ohm"], load["ohm"] * load["ohm_pct"] / 100)
    r *= 1 + tempco * (around(hot, hot_pm) - load["at_c"])
    lead = around(load["lead_ohm"], load["lead_ohm"] * load.get("lead_pct", 10) / 100)
    current = around(volts, volts_pm) / r
    return current * current * (r + lead)


def power(bench, record, run_id, index=0, n=100_000, seed=20260908):
    """Standard deviation, and half-width of the 95 % interval, of a channel's power."""
    def of(x):
        return x[index] if isinstance(x, list) else x

    rec = next(r for r in record["run"] if r["id"] == run_id)
    load = bench.loads[of(rec["load"])]
    volts = of(rec["out_v"])
    volts_pm = spec(bench.instruments[bench.usual["out_v"]]["range"], "out_v", volts)
    hot, hot_pm = load["hot_c"], load["hot_pm_c"]
    if "load_c" in rec:
        hot = of(rec["load_c"])
        hot_pm = spec(bench.instruments[bench.usual["load_c"]]["range"], "load_c", hot)
    pool = bench.methods[rec["method"]]["pool"]
    rel, dof = pool["rel_pct"] / 100, pool["dof"]
    rng = random.Random(seed)
    normal, student = [], []
    for _ in range(n):
        p, z = draw(rng, load, volts, volts_pm, hot, hot_pm), rng.gauss(0, rel)
        normal.append(p * (1 + z))
        student.append(p * (1 + z / math.sqrt(rng.gammavariate(dof / 2, 2) / dof)))
    student.sort()
    return statistics.fmean(normal), statistics.stdev(normal), (student[int(0.975 * n)] - student[int(0.025 * n)]) / 2
