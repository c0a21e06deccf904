"""Findings: what was measured, the limit, where, and what to do."""
