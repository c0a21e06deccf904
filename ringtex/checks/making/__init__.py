"""Checks of what can be made and worn: metal, detail, hollow, weight, balance, size, cautions."""
