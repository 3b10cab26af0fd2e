"""From the TOML files to runs made of raw inputs.

Only what the runs compared here need is read: volts across a load of the bench,
direct current supply. Anything else stops the program rather than be guessed.
"""
import math
import tomllib
from dataclasses import dataclass
from pathlib import Path

from propagate import Raw, Source, propagate

ROOT3 = math.sqrt(3)  # half-width to standard deviation, JCGM 100:2008, 4.3.7
# The same for other shapes: JCGM 100:2008, 4.3.9; JCGM 101:2008, 6.4.6.
DIVISORS = {"rectangular": ROOT3, "triangular": math.sqrt(6), "u-shaped": math.sqrt(2)}


@dataclass
class Channel:
    """One driven channel, or bridged pair, with its load."""
    name: str
    nominal: float
    at_c: float
    volts: Raw
    ohm: Raw
    tempco: Raw
    hot: Raw
    lead: Raw
    pool: Raw
    thdn: Raw

    def element(self, e):
        """Resistance of the load element at its temperature."""
        return self.ohm(e) * (1 + self.tempco(e) * (self.hot(e) - self.at_c))

    def resistance(self, e):
        """Resistance that the unit sees at its terminals."""
        return self.element(e) + self.lead(e)

    def power(self, e):
        """Power at the unit's terminals."""
        r = self.element(e)
        return self.volts(e) ** 2 / r * (1 + self.lead(e) / r) * self.pool(e)

    def out_v(self, e):
        """Voltage at the unit's terminals."""
        return self.volts(e) * (1 + self.lead(e) / self.element(e))

    def load_sources(self):
        return [s for r in (self.ohm, self.tempco, self.hot, self.lead) for s in r.sources()]

    def sources(self):
        return self.load_sources() + self.volts.sources() + self.pool.sources()


@dataclass
class Run:
    """One run: its record, its method, its channels and its supply."""
    rec: dict
    method: dict
    channels: list
    supply_v: Raw
    supply_a: Raw
    ripple: Raw

    @property
    def id(self):
        return self.rec["id"]

    @property
    def bridged(self):
        return any("+" in c.name for c in self.channels)

    def total(self, e):
        return sum(c.power(e) for c in self.channels)

    def supply_power(self, e):
        return self.supply_v(e) * self.supply_a(e) * self.ripple(e)

    def efficiency(self, e):
        return self.total(e) / self.supply_power(e)

    def heat(self, e):
        return self.supply_power(e) - self.total(e)

    def total_sources(self):
        return [s for c in self.channels for s in c.sources()]

    def supply_sources(self):
        return [s for r in (self.supply_v, self.supply_a, self.ripple) for s in r.sources()]


class Bench:
    """content/bench.toml, methods.toml and site.toml."""

    def __init__(self, content):
        self.content = Path(content)
        self.site = self.load("site.toml")
        bench = self.load("bench.toml")
        self.usual = bench["usual"]
        self.instruments = {i["id"]: i for i in bench["instrument"]}
        self.loads = {x["id"]: x for x in bench["load"]}
        self.methods = {m["id"]: m for m in self.load("methods.toml")["method"]}

    def load(self, name):
        return tomllib.loads((self.content / name).read_text("utf-8"))

    def unit(self, slug):
        """The record of a unit and its valid runs by id."""
        record = self.load(f"units/{slug}/record.toml")
        runs = [self.run(record, r) for r in record["run"] if "invalid" not in r and "capture" not in r]  # typed readings only
        return record, {r.id: r for r in runs}

    def reading(self, rec, quantity, x, channel=""):
        """A reading, corrected, with what is known of its instrument."""
        name = rec.get("with", {}).get(quantity, self.usual[quantity])
        fits = [r for r in self.instruments[name]["range"] if r["reads"] == quantity and x <= r["to"]]
        spec = min(fits, key=lambda r: r["to"])
        of = f"{name} {quantity}"
        divisor = spec["k"] if spec.get("shape") == "normal" else DIVISORS[spec.get("shape", "rectangular")]
        if "dof" in spec:
            raise NotImplementedError(f"{name}: a specification with degrees of freedom")
        gain = spec.get("reading_pct", 0) / 100 * x / divisor
        u = gain + (spec.get("range_pct", 0) / 100 * spec["to"] + spec.get("constant", 0)
                    + spec.get("digits", 0) * spec.get("resolution", 0)) / divisor
        parts = [(Source(f"{of} {channel}", group=name), u)]
        if spec.get("gain_common"):
            parts = [(Source(f"{of} gain to {spec['to']}", group=f"{name} gain"), gain),
                     (Source(f"{of} own {channel}"), math.sqrt(u * u - gain * gain))]
        if "correction" in spec or "correction_pct" in spec:
            known = spec.get("correction_pm_pct", 0) / 100 * x + spec.get("correction_pm", 0)
            parts.append((Source(f"{of} correction to {spec['to']}", group=f"{name} correction"),
                          known / spec.get("correction_k", 2)))
        parts.append((Source(f"{of} drift {channel}", group=f"{name} drift"),
                      spec.get("drift_pct_year", 0) / 100 * x * self.years(name, rec) / ROOT3))
        parts.append((Source(f"{of} temperature {channel}", group=f"{name} temperature"),
                      spec.get("tempco_pct_k", 0) / 100 * x * outside(spec, rec) / ROOT3))
        x += spec.get("correction_pct", 0) / 100 * x + spec.get("correction", 0)
        return Raw(x, tuple((s, part) for s, part in parts if part))

    def years(self, name, rec):
        """Years from an instrument's calibration to the run, or until it is due."""
        dates = self.instruments[name]
        until = rec["at"].date() if "at" in rec else dates.get("due")
        if until is None or "calibrated" not in dates:
            return 0
        return abs((until - dates["calibrated"]).days) / 365.25

    def run(self, record, rec):
        """A run with all its raw inputs."""
        if "power_w" in rec or "supply_w" in rec or "load" not in rec:
            raise NotImplementedError(f"run {rec['id']}: only volts across a load of the bench")
        method = self.methods[rec["method"]]
        names = rec.get("driven", record["unit"]["channels"])
        channels = [self.channel(rec, method, i, n) for i, n in enumerate(names)]
        ripple = method.get("supply_ripple_pct", 0) / 100 / ROOT3
        current = self.reading(rec, "supply_a", rec["supply_a"]) if "supply_a" in rec else None
        return Run(rec, method, channels, self.reading(rec, "supply_v", rec["supply_v"]), current,
                   Raw(1.0, ((Source(f"ripple {rec['id']}"), ripple),)))

    def channel(self, rec, method, i, name):
        load = self.loads[item(rec["load"], i)]
        part = f"load {load['id']}"
        group = load.get("calibration", load["id"])

        def property_of(kind, value, half_width):
            divisor = load.get("ohm_k", ROOT3) if kind == "value" else ROOT3
            return Raw(value, ((Source(f"{part} {kind}", group=f"{group} {kind}"), half_width / divisor),))

        hot = property_of("temperature", load.get("hot_c", load.get("at_c", 25)), load.get("hot_pm_c", 0))
        if "load_c" in rec:
            hot = self.reading(rec, "load_c", item(rec["load_c"], i), name)
        lead = load.get("lead_ohm", 0)
        return Channel(
            name, load["nominal_ohm"], load.get("at_c", 25),
            volts=self.reading(rec, "out_v", item(rec["out_v"], i), name),
            ohm=property_of("value", load["ohm"], load["ohm"] * load["ohm_pct"] / 100),
            tempco=property_of("tempco", load.get("tempco_ppm", 0) * 1e-6, load.get("tempco_pm_ppm", 0) * 1e-6),
            hot=hot,
            lead=property_of("lead", lead, lead * load.get("lead_pct", 10) / 100),
            pool=pool(rec, method, name),
            thdn=self.reading(rec, "thdn_pct", item(rec["thdn_pct"], i), name))


def item(values, i):
    """A value of a list, or the value itself where one stands alone."""
    return values[i] if isinstance(values, list) else values


def outside(spec, rec):
    """By how many kelvins the air was outside a specification's reference range."""
    if "tempco_pct_k" not in spec or "ambient_c" not in rec:
        return 0
    return max(0, spec["from_c"] - rec["ambient_c"], rec["ambient_c"] - spec["to_c"])


def pool(rec, method, channel):
    """The factor of power by which repeats scatter."""
    p = method["pool"]
    source = Source(f"pool {rec['id']} {channel}", group=f"pool {rec['id']}",
                    estimate=f"pool {method['id']}", dof=p.get("dof", 8))
    return Raw(1.0, ((source, p["rel_pct"] / 100),))


def figures(run):
    """The figures of a run by their path in the published sheet.

    Efficiency is in percent. A burst has no supply power: its current is not the
    mean of a steady state.
    """
    out = {}
    for c in run.channels:
        out[c.name, "power"] = propagate(c.power, c.sources())
        out[c.name, "resistance"] = propagate(c.resistance, c.load_sources())
        out[c.name, "out_v"] = propagate(c.out_v, c.load_sources() + c.volts.sources())
        out[c.name, "thdn"] = propagate(c.thdn, c.thdn.sources())
    out["", "total"] = propagate(run.total, run.total_sources())
    if run.supply_a and run.method["signal"] == "continuous":
        both = run.total_sources() + run.supply_sources()
        out["", "supply_power"] = propagate(run.supply_power, run.supply_sources())
        out["", "efficiency"] = propagate(lambda e: 100 * run.efficiency(e), both)
        out["", "heat"] = propagate(run.heat, both)
    return out
