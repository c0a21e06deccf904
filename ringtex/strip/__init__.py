"""The flat periodic rectangle and the map between it and the band's outer face."""
