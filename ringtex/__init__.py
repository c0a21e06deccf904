"""ringtex: seamless relief patterns on finger rings, from a finger size to a mesh ready to cast."""

__version__ = "0.1.0"
