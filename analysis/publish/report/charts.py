"""A line chart as inline SVG: sharp in print, readable in grey, no script and no library."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from markupsafe import Markup, escape
from numpy.typing import ArrayLike

from analysis.publish.report.palette import LineStyle
from decode.samples import FloatArray

WIDTH: Final = 720
HEIGHT: Final = 250
LEFT, RIGHT, TOP, BOTTOM = 58, 14, 12, 44
TICKS: Final = 6
HEADROOM: Final = 0.08  # of the span, so that no curve touches the frame
INK: Final = "#12161b"
SOFT: Final = "#444c55"
RULE: Final = "#d5d8dc"


@dataclass(frozen=True, slots=True)
class Curve:
    """x ascending, y with NaN where there is nothing; half_width: of a band around it."""

    name: str
    x: FloatArray
    y: FloatArray
    style: LineStyle
    half_width: FloatArray | None = None


@dataclass(frozen=True, slots=True)
class _Frame:
    """From values to the drawing's units."""

    low_x: float
    high_x: float
    low_y: float
    high_y: float

    def x(self, value: ArrayLike) -> FloatArray:
        scale = (WIDTH - LEFT - RIGHT) / (self.high_x - self.low_x)
        return LEFT + (np.asarray(value) - self.low_x) * scale

    def y(self, value: ArrayLike) -> FloatArray:
        scale = (HEIGHT - TOP - BOTTOM) / (self.high_y - self.low_y)
        return HEIGHT - BOTTOM - (np.asarray(value) - self.low_y) * scale


def line_chart(
    title: str, curves: Sequence[Curve], x_label: str, y_label: str, from_zero: bool = False
) -> Markup:
    """The chart with its legend as one figure; raises ValueError where no curve has a value."""
    frame = _frame(curves, from_zero)
    body = [*_grid(frame), *(_band(frame, c) for c in curves), *(_path(frame, c) for c in curves)]
    body += [
        _text((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 6, x_label, "middle"),
        f'<text x="14" y="{(TOP + HEIGHT - BOTTOM) / 2:.0f}" text-anchor="middle" '
        f'transform="rotate(-90 14 {(TOP + HEIGHT - BOTTOM) / 2:.0f})">{escape(y_label)}</text>',
    ]
    return Markup(
        f'<figure class="chart"><figcaption>{escape(title)} {_legend(curves)}</figcaption>'
        f'<svg viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{escape(title)}" '
        f'font-size="13" fill="{INK}">{"".join(body)}</svg></figure>'
    )


def nice_ticks(low: float, high: float, count: int = TICKS) -> FloatArray:
    """Round values between low and high, about `count` of them, in steps of 1, 2 or 5."""
    rough = (high - low) / count
    power = 10.0 ** np.floor(np.log10(rough))
    step = next(power * factor for factor in (1, 2, 5, 10) if power * factor >= rough * 0.999)
    first = np.ceil(low / step - 1e-9) * step
    return np.arange(first, high + step * 1e-6, step) + 0.0


def _frame(curves: Sequence[Curve], from_zero: bool) -> _Frame:
    x = np.concatenate([curve.x for curve in curves])
    y = np.concatenate([curve.y + _width(curve) for curve in curves])
    y = np.concatenate([y, *(curve.y - _width(curve) for curve in curves)])
    y = y[np.isfinite(y)]
    if not len(x) or not len(y):
        raise ValueError("a chart without a value")
    low, high = float(y.min()), float(y.max())
    margin = max((high - low) * HEADROOM, abs(high) * 0.01, 1e-6)
    floor = min(0.0, low) if from_zero else low - margin
    return _Frame(float(x.min()), max(float(x.max()), float(x.min()) + 1e-6), floor, high + margin)


def _width(curve: Curve) -> FloatArray:
    if curve.half_width is None:
        return np.zeros(len(curve.x))
    return np.nan_to_num(curve.half_width)


def _grid(frame: _Frame) -> list[str]:
    parts = []
    for tick in nice_ticks(frame.low_y, frame.high_y):
        at = float(frame.y(tick))
        ink = SOFT if abs(tick) < 1e-9 else RULE
        parts.append(
            f'<path d="M{LEFT} {at:.1f}H{WIDTH - RIGHT}" stroke="{ink}"/>'
            + _text(LEFT - 6, at + 4, f"{tick + 0.0:.10g}", "end")
        )
    for tick in nice_ticks(frame.low_x, frame.high_x, 8):
        at = float(frame.x(tick))
        parts.append(
            f'<path d="M{at:.1f} {TOP}V{HEIGHT - BOTTOM}" stroke="{RULE}"/>'
            + _text(at, HEIGHT - BOTTOM + 16, f"{tick:.10g}", "middle")
        )
    return parts


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'


def _path(frame: _Frame, curve: Curve) -> str:
    """The curve; a value that is not there breaks the line."""
    dash = " ".join(map(str, curve.style.dash))
    return (
        f'<path d="{_moves(frame, curve.x, curve.y)}" fill="none" stroke="{curve.style.colour}" '
        f'stroke-width="2.2" stroke-dasharray="{dash}" stroke-linejoin="round"/>'
    )


def _moves(frame: _Frame, x: FloatArray, y: FloatArray) -> str:
    commands, pen_down = [], False
    for at_x, at_y in zip(frame.x(x), frame.y(y), strict=True):
        if np.isfinite(at_y):
            commands.append(f"{'L' if pen_down else 'M'}{at_x:.1f} {at_y:.1f}")
        pen_down = bool(np.isfinite(at_y))
    return "".join(commands)


def _band(frame: _Frame, curve: Curve) -> str:
    """Around the curve where its width is known; of too few runs it is known nowhere."""
    half_width = np.full(len(curve.x), np.nan) if curve.half_width is None else curve.half_width
    known = np.isfinite(curve.y) & np.isfinite(half_width)
    if not known.any():
        return ""
    x, y, width = curve.x[known], curve.y[known], half_width[known]
    around = np.concatenate([y + width, (y - width)[::-1]])
    outline = _moves(frame, np.concatenate([x, x[::-1]]), around)
    return f'<path d="{outline}Z" fill="{curve.style.colour}" fill-opacity="0.16"/>'


def _legend(curves: Sequence[Curve]) -> str:
    """A line sample and a name each; curves of one name and style are told once."""
    keys = dict.fromkeys((curve.name, curve.style) for curve in curves)
    return "".join(
        f'<span class="key"><svg width="34" height="8" aria-hidden="true"><path d="M0 4H34" '
        f'stroke="{style.colour}" stroke-width="3" '
        f'stroke-dasharray="{" ".join(map(str, style.dash))}"/></svg>{escape(name)}</span>'
        for name, style in keys
    )
