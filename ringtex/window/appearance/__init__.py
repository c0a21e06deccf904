"""How the window looks: theme, colours, icons, layout."""
