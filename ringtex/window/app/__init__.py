"""The main window: menus, commands, files, preferences, recovery, start."""
