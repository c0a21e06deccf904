"""Controls of the settings: numbers, choices, texts, lists of entries."""
