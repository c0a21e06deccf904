"""What the panel knows of a number, and numbers as one types and reads them."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, fields
from functools import cached_property

from ringtex.basics.errors import InputError
from ringtex.basics.limits import key_of, limits_of


@dataclass(frozen=True)
class NumberSetting:
    """One number of the design.

    key       its key path, such as "relief.depth".
    label     its name on the panel; undo says "change the <label>".
    limits    least and largest; or the options whose field of the key's last name states them.
    step      what an arrow key changes it by (ten times with Shift), and what a drag snaps to.
    hint      one line on what it does.
    unit      "mm", "°", "%" or none.
    decimals  how many are usually shown; 0 for whole numbers.
    highlight   its name in `ViewState.hovered_setting`; the key's last part unless given.
    drag_span the range that a drag across the label runs through; the limits unless given.
    """

    key: str
    label: str
    limits: type | tuple[float, float]
    step: float
    hint: str
    unit: str = ""
    decimals: int = 2
    highlight: str = ""
    drag_span: tuple[float, float] | None = None

    @property
    def low(self) -> float:
        """The least value."""
        return self._bounds[0]

    @property
    def high(self) -> float:
        """The largest value."""
        return self._bounds[1]

    @cached_property
    def _bounds(self) -> tuple[float, float]:
        if isinstance(self.limits, tuple):
            return self.limits
        name = re.sub(r"\[\d+\]", "", self.key).rsplit(".", 1)[-1]
        field = next(field.name for field in fields(self.limits) if key_of(field.name) == name)
        stated = limits_of(self.limits, field)
        assert stated is not None, f"no limits are stated for {self.key}"
        return stated.low, stated.high

    @property
    def whole(self) -> bool:
        """Whether it is a count."""
        return self.decimals == 0

    @property
    def highlight_name(self) -> str:
        """Its name for the views."""
        return self.highlight or self.key.rsplit(".", 1)[-1]

    @property
    def drag_range(self) -> tuple[float, float]:
        """From the label's left end to its right end."""
        return self.drag_span or (self.low, self.high)

    @property
    def change_label(self) -> str:
        """How undo calls a change of it."""
        return f"change the {self.label[0].lower()}{self.label[1:]}"

    @property
    def limits_text(self) -> str:
        """Its limits in words."""
        unit = f" {self.unit}" if self.unit not in ("", "°") else self.unit
        return f"{self.low:g} to {self.high:g}{unit}"


_NUMBER = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*([a-z°%]*)", re.IGNORECASE)
_UNITS = {
    "mm": ("mm", "millimetre", "millimetres"),
    "°": ("°", "deg", "degree", "degrees"),
    "%": ("%", "percent"),
    "ct": ("ct", "carat", "carats"),
    "g": ("g", "gram", "grams"),
    "": (),
}
MAX_DECIMALS = 4


def number_of(text: str, unit: str, whole: bool, where: str = "") -> float:
    """The number that a person typed: a comma or a point, with or without the unit.

    Parameters:
        text: as typed.
        unit: of the number.
        whole: whether it must be a whole number.
        where: path of the key, for messages.
    Returns: the number.
    Raises: InputError for anything else, in a sentence.
    """
    plain = text.strip().replace("\u2212", "-").replace(",", ".")
    found = _NUMBER.fullmatch(plain)
    wanted = "a whole number" if whole else "a number"
    shown = text.strip()[:24]
    if not shown:
        raise InputError("nothing was entered", f"Give {wanted}{f' in {unit}' if unit else ''}", where)
    if found is None:
        raise InputError(f'"{shown}" is not {wanted}', f"Give {wanted}{f' in {unit}' if unit else ''}", where)
    if found[2] and found[2].lower() not in _UNITS.get(unit, ()):
        raise InputError(f'"{found[2]}" is not the unit here', f"Give {wanted}{f' in {unit}' if unit else ''}", where)
    number = float(found[1])
    if not math.isfinite(number) or (whole and number != round(number)):
        raise InputError(f'"{shown}" is not {wanted}', f"Give {wanted}", where)
    return number


def text_of(value: float, decimals: int) -> str:
    """The number with its usual decimals; with up to four where it has more, so that nothing is hidden."""
    usual = f"{value:.{decimals}f}"
    if abs(float(usual) - value) > 1e-9:
        usual = f"{value:.{MAX_DECIMALS}f}".rstrip("0")
    return "0" + usual[2:] if float(usual) == 0.0 and usual.startswith("-") else usual


def stepped(value: float, step: float, count: int) -> float:
    """The value moved by `count` steps, onto the steps' own marks (0.33 by 0.05 up is 0.35); by 0 to the nearest.

    Parameters:
        value: the present one.
        step: size of a step.
        count: how many steps, either way.
    Returns: the new value.
    """
    marks = value / step
    near = round(marks)
    if count == 0 or abs(marks - near) < 1e-6:
        moved = near + count
    else:
        moved = math.floor(marks) + count if count > 0 else math.ceil(marks) + count
    return round(moved * step, 9)
