"""No file imports itself by a detour: circles of imports are at most two files of one room."""

from __future__ import annotations

import grimp
import networkx as nx
import pytest

MAX_FILES = 2


@pytest.fixture(scope="module")
def circles() -> list[list[str]]:
    """Every set of files that import each other in a circle; imports for type checking alone count too."""
    graph = grimp.build_graph("ringtex", cache_dir=None)
    arrows = nx.DiGraph()
    for file in graph.modules:
        arrows.add_edges_from((file, imported) for imported in graph.find_modules_directly_imported_by(file))
    return [sorted(part) for part in nx.strongly_connected_components(arrows) if len(part) > 1]


def test_no_circle_has_more_than_two_files(circles: list[list[str]]) -> None:
    assert [circle for circle in circles if len(circle) > MAX_FILES] == []


def test_no_circle_leaves_its_room(circles: list[list[str]]) -> None:
    assert [circle for circle in circles if len({file.rpartition(".")[0] for file in circle}) > 1] == []
