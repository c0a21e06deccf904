"""Random designs over all options: each is built soundly, refused with its key, or has an error that is found.

    PYTHONPATH=.:tests python3 tests/campaigns/random_designs.py [COUNT] [--minutes M] [--seed SEED] [--folder FOLDER]

Drafts of reduced size; every hundredth is built at the final tolerance too and tested for crossing triangles in exact
arithmetic. Design number N of a seed is always the same, and a run goes on where the last one in the folder ended:
`results.jsonl` there has a line for each design, with the processor time of each stage. What goes wrong is shrunk and
kept beside it as a design file, what takes over 10 s of processor time as it is. Ends with 1 where anything went wrong.
"""

from __future__ import annotations

import argparse
import json
import resource
import signal
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType
from typing import Any

from design_space import random_design
from ring_judge import crossing_pairs, mesh_faults, refusal_faults, round_trip_faults

from ringtex.basics.errors import InputError, SelfCheckError
from ringtex.basics.progress import Progress
from ringtex.basics.tolerances import DRAFT_CHORD_MM, FINAL_CHORD_MM
from ringtex.checks.finding import Kind, Level
from ringtex.design.design import Design
from ringtex.design.design_file import design_from_json, design_to_json
from ringtex.document.ring_files import BREAKS_OUT, refuse_unsound
from ringtex.make_ring import BuiltRing, make_ring

EXACT_EVERY = 100
"""How often a design is built finely and tested in exact arithmetic."""

MAX_EXACT_TRIANGLES = 700_000
"""A finer mesh is tested as its draft: exact arithmetic takes some 10 s for so many."""

SLOW_SECONDS = 10.0
"""Of processor time, for a draft."""

MAX_SECONDS = 180
"""Of processor time, until a design counts as endless: a busy machine is not the design's fault."""

MAX_MEMORY = 6 * 2**30
SHRINK_SECONDS = 120.0

Ended = tuple[str, list[str], dict[str, float]]
"""How it ended; what is wrong; processor seconds by stage."""


class StageTimes(Progress):
    """Progress that adds up processor time by stage, so that other programs on the machine do not count."""

    def __init__(self) -> None:
        super().__init__()
        self.processor: dict[str, float] = {}

    @contextmanager
    def stage(self, name: str, until: float) -> Iterator[None]:
        begun = time.process_time()
        try:
            with super().stage(name, until):
                yield
        finally:
            self.processor[name] = self.processor.get(name, 0.0) + time.process_time() - begun


def outcome(design: Design, exact: bool = False) -> Ended:
    """Build one design and judge it."""
    times = StageTimes()
    with _limited():
        try:
            wrong = round_trip_faults(design)
            ended, more = _judged(design, times, exact)
            wrong += more
        except InputError as error:
            return f"refused {error.where.split('[')[0]}", wrong + refusal_faults(error), times.processor
        except Exception as error:
            frame = traceback.extract_tb(error.__traceback__)[-1]
            line = f"{type(error).__name__} at {Path(frame.filename).name}:{frame.lineno}: {error}"
            return "crashed", [line], times.processor
    return ended, wrong, times.processor


def _judged(design: Design, times: StageTimes, exact: bool) -> tuple[str, list[str]]:
    draft = make_ring(design, DRAFT_CHORD_MM, times)
    ended, wrong = _of_ring(draft)
    if exact and ended == "built":
        final = make_ring(design, FINAL_CHORD_MM)
        ended, wrong = _of_ring(final)
        tested = final if len(final.finished.mesh.faces) <= MAX_EXACT_TRIANGLES else draft
        crossing = crossing_pairs(tested.finished.mesh)
        if crossing and ended == "built":
            wrong.append(f"crosses: {crossing} pairs of triangles")
    return ended, wrong


def _of_ring(ring: BuiltRing) -> tuple[str, list[str]]:
    """What the program says of the ring against what the judge says."""
    faults = mesh_faults(ring)
    found = _found(ring)
    try:
        refuse_unsound(ring.report.findings)
    except SelfCheckError as error:
        return "unsound", [f"no cause is named: {error}", *faults]
    except InputError as error:
        return f"found: {found}", refusal_faults(error, keyed=False)
    return "built" if not found else f"built, found: {found}", [] if found else faults


def _found(ring: BuiltRing) -> str:
    """The errors that explain a mesh which does not bound a body."""
    kinds = {
        finding.kind
        for finding in ring.report.findings
        if finding.level is Level.ERROR
        and (
            finding.kind in (*BREAKS_OUT, Kind.FOLDED_RELIEF)
            or (finding.kind is Kind.THIN_METAL and not finding.measured)
        )
    }
    return ", ".join(sorted(kind.value for kind in kinds))


@contextmanager
def _limited() -> Iterator[None]:
    def endless(number: int, frame: FrameType | None) -> None:
        raise TimeoutError(f"more than {MAX_SECONDS} s")

    signal.signal(signal.SIGPROF, endless)
    signal.setitimer(signal.ITIMER_PROF, MAX_SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)


def shrunk(design: Design, fails: Callable[[Design], bool]) -> Design:
    """A plainer design that still fails: keys left out, lists shortened, numbers made round, one after another."""
    data, until = design_to_json(design), time.monotonic() + SHRINK_SECONDS
    plain = design_to_json(Design(design.size, design.band))
    going = True
    while going:
        going = False
        for simpler in _simpler(data, plain):
            if time.monotonic() > until:
                return design
            with suppress(InputError):
                tried = design_from_json(simpler)
                if tried != design and fails(tried):
                    design, data, going = tried, simpler, True
                    break
    return design


def _simpler(data: Any, plain: Any) -> Iterator[Any]:
    """The same JSON with one thing made plain, the largest pieces first."""
    if isinstance(data, dict):
        standard = plain if isinstance(plain, dict) else {}
        for key, value in data.items():
            if key in standard and value != standard[key]:
                yield {**data, key: standard[key]}
        for key, value in data.items():
            for inner in _simpler(value, standard.get(key)):
                yield {**data, key: inner}
    elif isinstance(data, list) and data:
        for at in range(len(data)):
            yield data[:at] + data[at + 1 :]
        for at, value in enumerate(data):
            for inner in _simpler(value, None):
                yield [*data[:at], inner, *data[at + 1 :]]
    elif isinstance(data, float):
        yield from (short for digits in (0, 1, 2) if (short := round(data, digits)) != data)


class Results:
    """The lines of a run, in a file that it goes on from."""

    def __init__(self, folder: Path, seed: int) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self._path = folder / "results.jsonl"
        text = self._path.read_text(encoding="utf-8") if self._path.exists() else ""
        lines = [json.loads(line) for line in text.splitlines()]
        self.lines = {line["number"]: line for line in lines if line["seed"] == seed}
        self._seed = seed
        for line in self.lines.values():
            if line["ended"] == "begun":
                line.update(ended="crashed", wrong=["the process ended while it was built"])

    def write(self, number: int, **values: Any) -> None:
        """Add a line, at once; a later line on the same design counts."""
        line = {"seed": self._seed, "number": number, **values}
        self.lines[number] = line
        with self._path.open("a", encoding="utf-8") as stream:
            stream.write(json.dumps(line) + "\n")

    def summary(self) -> str:
        """Counts by ending, what was slow, and processor time by stage."""
        lines = [line for line in self.lines.values() if line["ended"] != "begun"]
        text = [f"{count:7d}  {ended}" for ended, count in Counter(line["ended"] for line in lines).most_common()]
        stages = sorted({stage for line in lines for stage in line["seconds"]})
        for stage in stages:
            seconds = sorted(line["seconds"].get(stage, 0.0) for line in lines)
            middle, late, last = (seconds[int(len(seconds) * part)] for part in (0.5, 0.99, 0.999999))
            text.append(f"{stage:<10}sum {sum(seconds):8.0f} s, median {middle:.2f}, 99 % {late:.2f}, most {last:.1f}")
        whole = [sum(line["seconds"].values()) for line in lines]
        slow = sum(seconds > SLOW_SECONDS for seconds in whole)
        wrong = sum(bool(line["wrong"]) for line in lines)
        return "\n".join([*text, f"{len(lines)} designs, {wrong} went wrong, {slow} took over {SLOW_SECONDS:g} s"])


def main() -> int:
    """Run the campaign."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("count", type=int, nargs="?", default=100_000, help="designs, those of earlier runs included")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=float("inf"), help="stop after so many")
    parser.add_argument("--folder", type=Path, default=Path("out/random_designs"))
    asked = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (MAX_MEMORY, MAX_MEMORY))
    results, until = Results(asked.folder, asked.seed), time.monotonic() + 60.0 * asked.minutes
    for number in range(asked.count):
        if time.monotonic() > until:
            break
        if number not in results.lines:
            one_design(results, asked.folder, asked.seed, number)
    print(results.summary())
    print(f"seed {asked.seed}, peak {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6:.2f} GB")
    return int(any(line["wrong"] for line in results.lines.values()))


def one_design(results: Results, folder: Path, seed: int, number: int) -> None:
    """Draw, build, judge, note; keep what is wrong or slow."""
    try:
        design = random_design(seed, number)
    except InputError as error:
        wrong = refusal_faults(error)
        results.write(number, ended=f"refused {error.where.split('[')[0]}", wrong=wrong, seconds={})
        return
    results.write(number, ended="begun", wrong=[], seconds={})
    exact = number % EXACT_EVERY == 0
    ended, wrong, seconds = outcome(design, exact)
    results.write(number, ended=ended, wrong=wrong, seconds={stage: round(s, 3) for stage, s in seconds.items()})
    name = f"{seed}-{number}"
    if wrong:
        _keep(design, folder / f"{name}.whole.ring.json")
        first = wrong[0].split(":")[0]
        design = shrunk(design, lambda one: any(each.startswith(first) for each in outcome(one, exact)[1]))
        _keep(design, folder / f"{name}.ring.json")
        print(f"{number}: {ended}: {'; '.join(wrong)[:300]}", flush=True)
    elif sum(seconds.values()) > SLOW_SECONDS:
        _keep(design, folder / f"{name}.slow.ring.json")
        print(f"{number}: slow: { ({stage: round(s, 1) for stage, s in seconds.items()}) }", flush=True)


def _keep(design: Design, path: Path) -> None:
    path.write_text(json.dumps(design_to_json(design), indent=1), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
