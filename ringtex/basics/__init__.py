"""What every room uses: errors, progress, tolerances, safe file writing."""
