"""The smallest change of a design that clears its findings, found by trying on draft builds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from ringtex.basics.errors import InputError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM
from ringtex.checks.check_ring import Report
from ringtex.checks.finding import Finding, Kind, Level
from ringtex.design.design import Design
from ringtex.edits.design_differences import Change, design_changes
from ringtex.edits.proposal_moves import moves_for
from ringtex.make_ring import make_ring

MAX_BUILDS: Final = 40
"""Draft builds tried in all: some seconds."""

MAX_ROUNDS: Final = 16
"""Changes made one after the other."""

SPOILT: Final = 0.05
"""An error that misses its limit by so much more (mm, or in limits where they are over 1) is no help."""

MESH_FINDINGS: Final = {Kind.DEGENERATE_TRIANGLES, Kind.WRONG_SIZE}
"""Matters of the mesh: a change of the design is not what mends them."""


@dataclass(frozen=True)
class Proposal:
    """A changed design, what is changed, and what was found before and after.

    clears: no error or warning about the design is left. builds: how many drafts were tried. Notes are no reason for a
    change. Where nothing helps, design is the one given and changes is empty.
    """

    design: Design
    changes: list[Change]
    findings_before: list[Finding]
    findings_after: list[Finding]
    builds: int

    @property
    def clears(self) -> bool:
        """Whether everything that a change could clear is cleared."""
        return not _to_clear(self.findings_after)

    @property
    def sentences(self) -> list[str]:
        """The changes as "ridge width 0.25 -> 0.35"."""
        return [change.text for change in self.changes]


def clearable(design: Design, report: Report) -> list[Finding]:
    """The errors and warnings of a checked ring for which some change of its design can be tried."""
    return [f for f in _to_clear(report.findings) if moves_for(f, design, report.readings)]


def propose(design: Design, progress: Progress | None = None, tolerance_mm: float = DRAFT_CHORD_MM) -> Proposal:
    """Look for the smallest change that clears the design's errors and warnings.

    Step by step the worst finding's own remedies are tried, each computed from measure and limit; the one that leaves
    least to clear is kept, of equals the one that changes least. A remedy that raises another finding is tried together
    with that finding's remedies. At the end changes that turned out needless are taken back. The same design gives the
    same proposal.

    Parameters:
        design: the design to improve.
        progress: told of the work and asked whether to stop.
        tolerance_mm: largest distance between mesh and true surface, mm.
    Returns: the proposal.
    Raises: InputError where the design cannot be built; Cancelled.
    """
    search = _Search(progress or Progress(), tolerance_mm)
    first = search.first(design)
    best = first
    for _ in range(MAX_ROUNDS):
        better = search.next_after(best, design)
        if better is None:
            break
        best = better
    best = search.without_needless(best, design)
    changes = design_changes(design, best.design)
    return Proposal(best.design, changes, first.report.findings, best.report.findings, search.builds)


@dataclass(frozen=True, eq=False)
class _Tried:
    design: Design
    report: Report

    @property
    def left(self) -> tuple[int, int, float]:
        """Errors, warnings, and by how much they miss their limits."""
        found = _to_clear(self.report.findings)
        errors = sum(finding.level is Level.ERROR for finding in found)
        return errors, len(found) - errors, round(sum(_missing(finding) for finding in found), 6)


def _to_clear(findings: Iterable[Finding]) -> list[Finding]:
    return [f for f in findings if f.level is not Level.NOTE and f.kind not in MESH_FINDINGS]


def _missing(finding: Finding) -> float:
    measured, limit = finding.measured, finding.limit
    if measured is None or limit is None:
        return 1.0
    return abs(measured - limit) / max(abs(limit), 1.0)


def _new_findings(before: _Tried, after: _Tried) -> list[Finding]:
    """What is to clear after a change and was not before it, by kind."""
    known = {finding.kind for finding in _to_clear(before.report.findings)}
    return [finding for finding in _to_clear(after.report.findings) if finding.kind not in known]


def _spoils(before: _Tried, after: _Tried) -> bool:
    """Whether an error is left that was there before and misses its limit by clearly more now."""
    missed = {finding.kind: _missing(finding) for finding in _to_clear(before.report.findings)}
    errors = (finding for finding in _to_clear(after.report.findings) if finding.level is Level.ERROR)
    return any(_missing(finding) > missed.get(finding.kind, math.inf) + SPOILT for finding in errors)


class _Search:
    """Draft builds, counted and remembered."""

    def __init__(self, progress: Progress, tolerance_mm: float) -> None:
        self._progress, self._tolerance = progress, tolerance_mm
        self._known: dict[Design, _Tried | None] = {}

    @property
    def builds(self) -> int:
        return len(self._known)

    def first(self, design: Design) -> _Tried:
        """The design as it was asked for. Raises: InputError where it cannot be built."""
        made = _Tried(design, make_ring(design, self._tolerance, self._inner()).report)
        self._known[design] = made
        return made

    def _inner(self) -> Progress:
        """A build's own progress, which only asks whether to stop."""
        return Progress(lambda stage, fraction: self._progress.check())

    def tried(self, design: Design) -> _Tried | None:
        """The design built; None where it cannot be."""
        if design not in self._known:
            with self._progress.stage("proposal", min(0.99, (self.builds + 1) / MAX_BUILDS)):
                self._known[design] = self._built(design)
        return self._known[design]

    def _built(self, design: Design) -> _Tried | None:
        try:
            return _Tried(design, make_ring(design, self._tolerance, self._inner()).report)
        except InputError:
            return None

    def next_after(self, now: _Tried, asked: Design) -> _Tried | None:
        """The smallest of the first finding's remedies that clears one more; else the one that leaves least.

        Where no remedy alone leaves less, each is tried together with one of what it raised in its turn. None where
        nothing leaves less than now.
        """
        for finding in _to_clear(now.report.findings):
            better = self._first_better(self._remedies(finding, now, asked), now)
            if better is None:
                remedies = list(self._remedies(finding, now, asked))
                raised = (self._remedies(each, made, asked) for made in remedies for each in _new_findings(now, made))
                better = self._first_better((made for remedies in raised for made in remedies), now)
            if better is not None:
                return better
        return None

    def _remedies(self, finding: Finding, now: _Tried, asked: Design) -> Iterator[_Tried]:
        """What can be built of a finding's remedies, the smallest change of the design asked for first."""
        changes = moves_for(finding, now.design, now.report.readings)
        for changed in sorted(changes, key=lambda change: change_size(asked, change)):
            made = self.tried(changed) if changed in self._known or self.builds < MAX_BUILDS else None
            if made is not None:
                yield made

    @staticmethod
    def _first_better(remedies: Iterable[_Tried], now: _Tried) -> _Tried | None:
        """The first that leaves fewer errors or warnings than now; else the one that leaves least, if less than now."""
        better = []
        for made in remedies:
            if _spoils(now, made):
                continue
            if made.left[:2] < now.left[:2]:
                return made
            if made.left < now.left:
                better.append(made)
        return min(better, key=lambda made: made.left, default=None)

    def without_needless(self, best: _Tried, asked: Design) -> _Tried:
        """Whole stages of the design put back to what was asked, where nothing gets worse."""
        for stage in ("rails", "pattern", "relief", "band", "hollow", "stones"):
            if getattr(best.design, stage) == getattr(asked, stage) or self.builds >= MAX_BUILDS:
                continue
            made = self.tried(replace(best.design, **{stage: getattr(asked, stage)}))
            if made is not None and made.left <= best.left:
                best = made
        return best


def change_size(before: Design, after: Design) -> float:
    """How much is changed: the sum over all keys of the change as a share of the larger value (1 for words)."""
    total = 0.0
    for change in design_changes(before, after):
        old, new = change.before, change.after
        if isinstance(old, int | float) and isinstance(new, int | float):
            total += abs(new - old) / max(abs(old), abs(new), 1e-9)
        else:
            total += 1.0
    return total
