"""The flat strip: the designer's main tool."""

from ringtex.window.strip_editor.strip_view import StripView

__all__ = ["StripView"]
