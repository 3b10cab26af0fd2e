"""Student's t distribution from first principles.

The distribution function is written with the regularised incomplete beta
function, JCGM 100:2008, G.3.2 giving the density and any handbook the relation
    P(T <= -t) = I_x(nu/2, 1/2) / 2,   x = nu / (nu + t^2),   t >= 0,
and that function with its continued fraction, evaluated by the modified method
of Lentz. Infinite degrees of freedom stand for the normal distribution.
"""
import math
from functools import cache

TINY = 1e-300


def fraction(a, b, x):
    """The continued fraction of the incomplete beta function."""
    c, d = 1.0, 1.0 - (a + b) * x / (a + 1)
    d = 1.0 / (d if abs(d) > TINY else TINY)
    h = d
    for m in range(1, 2000):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for step in (even, odd):
            d = 1.0 + step * d
            d = 1.0 / (d if abs(d) > TINY else TINY)
            c = 1.0 + step / c
            c = c if abs(c) > TINY else TINY
            h *= c * d
        if abs(c * d - 1) < 1e-16:
            return h
    raise ArithmeticError(f"no convergence for a={a} b={b} x={x}")


def incomplete_beta(a, b, x, y):
    """I_x(a, b); y is 1 - x, given apart because it may be tiny."""
    if x <= 0 or y <= 0:
        return 0.0 if x <= 0 else 1.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
                     + a * math.log(x) + b * math.log(y))
    if x < (a + 1) / (a + b + 2):
        return front * fraction(a, b, x) / a
    return 1 - front * fraction(b, a, y) / b


def below(t, nu):
    """P(T <= t) with nu degrees of freedom, infinite for the normal."""
    if math.isinf(nu):
        return 0.5 * math.erfc(-t / math.sqrt(2))
    tail = 0.5 * incomplete_beta(nu / 2, 0.5, nu / (nu + t * t), t * t / (nu + t * t))
    return tail if t < 0 else 1 - tail


@cache
def quantile(p, nu):
    """The t with P(T <= t) = p, by bisection, for p of one half or above."""
    if p == 0.5:
        return 0.0
    low, high = 0.0, 1.0
    while below(-high, nu) > 1 - p:
        low, high = high, high * 2
    while True:
        middle = (low + high) / 2
        if not low < middle < high:
            return middle
        if below(-middle, nu) > 1 - p:
            low = middle
        else:
            high = middle
