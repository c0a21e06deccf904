"""Findings as lines for a person and as plain values for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ringtex.checks.finding import Finding, Level


def finding_values(finding: Finding) -> dict[str, Any]:
    """One finding as plain values."""
    return {
        "kind": finding.kind.value,
        "level": finding.level.value,
        "message": finding.message,
        "advice": finding.advice,
        "measured": finding.measured,
        "limit": finding.limit,
        "unit": finding.unit,
        "where": finding.where,
        "place": None if finding.place is None else list(finding.place),
    }


def finding_lines(findings: Sequence[Finding]) -> list[str]:
    """One line a finding in the order given (worst first), or one line that says there is none."""
    if not findings:
        return ["Nothing found to object to."]
    return [_line(finding) for finding in findings]


def errors_among(findings: Sequence[Finding]) -> int:
    """How many findings are errors."""
    return sum(finding.level is Level.ERROR for finding in findings)


def _line(finding: Finding) -> str:
    where = f" ({finding.where})" if finding.where else ""
    advice = f" {finding.advice}." if finding.advice else ""
    return f"{finding.level.value}: {finding.message}{where}.{advice}"
