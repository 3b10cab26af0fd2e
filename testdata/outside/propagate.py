"""First-order propagation with numerical derivatives.

JCGM 100:2008, 5.1.2 (independent inputs), 5.2.2 note 1 (inputs that move
together), 5.1.3 note 2 (derivatives by moving each input a little), G.4.1
(Welch and Satterthwaite), G.6.4 (expanded uncertainty).

Each cause of error is one variable with mean 0 and standard deviation 1. A raw
input is its estimate plus, for each cause, a standard uncertainty times that
variable. A figure is a plain function of the values of these variables.
"""
import math
from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

import student

STEP = 0.02


@dataclass(frozen=True)
class Source:
    """One cause of error.

    Sources of one group move together or not at all, whichever makes the figure
    more uncertain. Sources of one estimate have one standard deviation, found
    once with dof degrees of freedom.
    """
    name: str
    group: str = ""
    estimate: str = ""
    dof: float = math.inf


@dataclass(frozen=True)
class Raw:
    """A raw input: its estimate and (source, standard uncertainty) pairs."""
    value: float
    parts: tuple = ()

    def __call__(self, errors):
        return self.value + sum(u * errors.get(s, 0.0) for s, u in self.parts)

    def sources(self):
        return [s for s, u in self.parts if u]


@dataclass(frozen=True)
class Figure:
    """A result: estimate, standard uncertainty, effective degrees of freedom."""
    value: float
    u: float
    dof: float

    @cached_property
    def k(self):
        """Coverage factor for 95 %."""
        return student.quantile(0.975, self.dof)

    @property
    def expanded(self):
        """U, the expanded uncertainty for 95 %."""
        return self.k * self.u

    def at_least(self, limit):
        """P(Y >= limit), JCGM 106:2012, 7.4 with Student's t in the normal's place."""
        return student.below((self.value - limit) / self.u, self.dof)

    def misses(self, limit):
        """P(Y < limit), which still tells figures apart where P(Y >= limit) is 1."""
        return student.below((limit - self.value) / self.u, self.dof)

    def end(self, probability, sign):
        """value + sign * t * u, beyond which lies 1 - probability."""
        return self.value + sign * student.quantile(probability, self.dof) * self.u


def derivative(f, source):
    """df/dsource at zero, by the central difference of five points.

    The step is a fiftieth of a standard uncertainty: the term left out is of
    the order (relative uncertainty * step)^4, far below rounding; rounding
    leaves about 1e-11 of a contribution.
    """
    y = {n: f({source: n * STEP}) for n in (-2, -1, 1, 2)}
    return (y[-2] - 8 * y[-1] + 8 * y[1] - y[2]) / (12 * STEP)


def propagate(f, sources):
    """The figure f({}) with the uncertainty that the sources give it."""
    parts = [(s, derivative(f, s)) for s in dict.fromkeys(sources)]
    groups = defaultdict(list)
    for s, c in parts:
        groups[s.group or s].append((s, c))
    variance, estimates = 0.0, defaultdict(float)
    for members in groups.values():
        apart = sum(c * c for _, c in members)
        together = sum(c for _, c in members) ** 2
        variance += max(apart, together)
        # A group of finite degrees of freedom holds one estimate only.
        first = members[0][0]
        estimates[first.estimate or first.name, first.dof] += max(apart, together)
    bottom = sum(v * v / dof for (_, dof), v in estimates.items() if v)
    dof = variance * variance / bottom if bottom else math.inf
    return Figure(f({}), math.sqrt(variance), dof)
