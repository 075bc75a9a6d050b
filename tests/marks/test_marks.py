# SPDX-License-Identifier: MIT
"""Program and scheme against ten setups that a trainer marked by hand: the same order, and each within 3 of 100.

    pytest tests/marks/test_marks.py
    GAINWARDEN_BUILD=... tests/marks/test_marks.py     both, side by side
"""
import functools
import itertools
import json
import pathlib
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent / "experts"), str(HERE.parent / "e2e")]

import pytest  # noqa: E402

from desk import Desk, saved_text, show_of  # noqa: E402: found by the line above
from harness import run, write_json  # noqa: E402

TABLE = json.loads((HERE / "setups.json").read_text())
SETUPS = TABLE["setups"]
NEAR = 3


def written(setup, folder):
    """(saved desk, show file) of a setup."""
    desk = Desk({}).put({**TABLE.get(setup.get("base"), {}), **setup.get("values", {})})
    saved = folder / "saved.json"
    saved.write_text(saved_text(desk))
    return saved, write_json(folder / "show.json", show_of({}))


@functools.cache
def marked(name):
    setup = next(one for one in SETUPS if one["name"] == name)
    with tempfile.TemporaryDirectory(prefix="gainwarden-marks-") as folder:
        saved, show = written(setup, pathlib.Path(folder))
        result = run("review", saved, "--show", show, "--format", "json")
        assert result.out and not result.err, result.err
        return result.json()["setups"][0]


def test_ten_setups_have_marks_and_reasons():
    assert len(SETUPS) == 10 and len({one["name"] for one in SETUPS}) == 10
    for one in SETUPS:
        assert 0 <= one["mark"] <= 100 and 0 <= one["assessed"] <= 100 and one["reasons"]
        assert set(one) <= {"name", "base", "values", "mark", "assessed", "pass", "reasons"}


@pytest.mark.parametrize("setup", SETUPS, ids=[one["name"].replace(" ", "-") for one in SETUPS])
def test_each_is_marked_as_by_hand(setup):
    found = marked(setup["name"])
    assert abs(found["per_cent"] - setup["mark"]) <= NEAR
    assert abs(found["assessed_per_cent"] - setup["assessed"]) <= NEAR
    assert found["may_pass"] == setup["pass"]


def test_the_order_is_the_same():
    def order(one, other):
        return (one > other) - (one < other)
    for one, other in itertools.combinations(SETUPS, 2):
        marks = [round(marked(setup["name"])["per_cent"], 1) for setup in (one, other)]
        assert order(*marks) == order(one["mark"], other["mark"]), (one["name"], other["name"], marks)


def main():
    print(f"{'by hand':>8}{'assessed':>10}{'program':>10}{'assessed':>10}  pass")
    for one in SETUPS:
        found = marked(one["name"])
        print(f"{one['mark']:8}{one['assessed']:10}{found['per_cent']:10.1f}{found['assessed_per_cent']:10.1f}"
              f"  {'yes' if found['may_pass'] else 'no':5}{one['name']}")


if __name__ == "__main__":
    main()
