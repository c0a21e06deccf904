"""Changes of the document as the panel makes them: refused in a sentence, or one step of the history."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ringtex.basics.errors import InputError
from ringtex.design.design import Design
from ringtex.document.document import Document
from ringtex.edits.design_keys import checked, nearest_allowed, value_at, with_one, with_values
from ringtex.window.settings.controls.number_setting import NumberSetting


class DesignEditor:
    """The panel's only way to the document. A refused change leaves the design as it is."""

    def __init__(self, document: Document) -> None:
        self.document = document

    @property
    def design(self) -> Design:
        """The design as it is now."""
        return self.document.design

    def value(self, key: str) -> Any:
        """The design's value of a key."""
        return value_at(self.design, key)

    def set_value(self, key: str, value: Any, label: str) -> InputError | None:
        """Change one value, and what the core ties to it. Gives the error where it is refused.

        Parameters:
            key: of the value in the design file.
            value: the new value.
            label: names the step in the history.
        Returns: why the value cannot be had, or None.
        """
        try:
            changed = with_one(self.design, key, value)
        except InputError as error:
            return error
        self.document.change(changed, label)
        return None

    def set_values(self, changes: Mapping[str, Any], label: str) -> InputError | None:
        """Change several values together. Gives the error where they are refused."""
        try:
            changed = checked(with_values(self.design, changes), self.design)
        except InputError as error:
            return error
        self.document.change(changed, label)
        return None

    def set_number(self, setting: NumberSetting, value: float) -> InputError | None:
        """Change a number as one step."""
        return self.set_value(setting.key, int(value) if setting.whole else value, setting.change_label)

    def nearest(self, setting: NumberSetting, wanted: float) -> float | None:
        """The nearest value that the number can have."""
        places = max(setting.decimals, 2) if not setting.whole else 0
        return nearest_allowed(self.design, setting.key, wanted, setting.low, setting.high, places)

    def set_nearest(self, setting: NumberSetting, wanted: float) -> None:
        """Change a number to `wanted`, or to the nearest value that it can have."""
        if self.set_number(setting, wanted) is not None:
            held = self.nearest(setting, wanted)
            if held is not None:
                self.set_number(setting, held)

    def begin_drag(self, label: str) -> None:
        """From here to `end_drag` all is one step."""
        self.document.begin_drag(label)

    def drag_number(self, setting: NumberSetting, wanted: float) -> bool:
        """Move a number to `wanted` or as near as it can get. Gives False where the drag was ended from elsewhere."""
        if not self.document.dragging:
            return False
        self.set_nearest(setting, wanted)
        return True

    def restart_drag(self) -> None:
        """All is as at the drag's beginning, and it goes on."""
        if self.document.dragging:
            self.document.change(self.document.history.design, "")

    def end_drag(self) -> None:
        """The drag is one step now."""
        self.document.end_drag()

    def cancel_drag(self) -> None:
        """All is as before the drag."""
        self.document.cancel_drag()
