"""Rules that turn a design into a changed design: drags, strokes, stations, stones, and proposals. No Qt."""
