# SPDX-License-Identifier: MIT
"""Tables beside two readers: Python's csv gives each text back (RFC 4180), and in a spreadsheet, Gnumeric, none of them
is a formula. What must not reach any spreadsheet is the list of OWASP, "CSV Injection".
"""
import csv
import io
import os
import pathlib
import random
import subprocess
import xml.etree.ElementTree

import pytest

BUILD = pathlib.Path(os.environ["GAINWARDEN_BUILD"])
# Unicode's White_Space (PropList.txt), but a line feed alone, and marks that take no room
BLANKS = [" ", "\t", "\v", "\f", "\r", "\x85", "\xa0", "\u1680", *map(chr, range(0x2000, 0x200e)), "\u2028",
          "\u2029", "\u202f", "\u205f", "\u2060", "\u3000", "\ufeff", "\xad"]
SIGNS = ["=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20"]
CELL = "{http://www.gnumeric.org/v10.dtd}Cell"


def table(texts):
    done = subprocess.run([BUILD / "tests" / "csv_probe"], input=b"".join(text.encode() + b"\0" for text in texts),
                          capture_output=True, timeout=60, check=True)
    return done.stdout


def read(data):
    rows = list(csv.reader(io.StringIO(data.decode(), newline=""), strict=True))
    assert all(len(row) == 2 for row in rows)
    return [text for _, text in rows[1:]]


def formulas(folder, data):
    """How many cells a spreadsheet takes for formulas: those without the type of a value."""
    (folder / "table.csv").write_bytes(data)
    subprocess.run(["ssconvert", "-I", "Gnumeric_stf:stf_csvtab", "-T", "Gnumeric_XmlIO:sax:0", folder / "table.csv",
                    folder / "table.xml"], capture_output=True, timeout=60, check=True,
                   env={**os.environ, "LC_ALL": "C.UTF-8", "HOME": str(folder)})
    cells = list(xml.etree.ElementTree.parse(folder / "table.xml").iter(CELL))
    assert len(cells) > 2
    return [cell.text for cell in cells if "ValueType" not in cell.attrib]


@pytest.mark.parametrize("sign", SIGNS)
def test_no_text_begins_as_a_formula(tmp_path, sign):
    texts = [sign + "1+1", *(blank + sign + "1+1" for blank in BLANKS),
             *(2 * blank + sign + "SUM(1)" for blank in BLANKS), " \t\xa0" + sign + "1+1"]
    data = table(texts)

    assert read(data) == ["'" + text for text in texts]
    assert formulas(tmp_path, data) == []


def test_numbers_and_names_stay(tmp_path):
    texts = ["-3.5", "+4", "-12", "3", "Kick In", "a=b", "Ld Vox - wet", "\xa0Vox", "x;=1+1",
             "gr\xf6\xdfe", "", "\u3000x", '"', "a,b"]
    data = table(texts)

    assert read(data) == texts
    assert formulas(tmp_path, data) == []
    for text in ("-3.-", "-1+1", "--1", "-", "-3.", "+.5", "-1e3"):  # which some would work out
        assert read(table([text])) == ["'" + text]


def test_the_spreadsheet_knows_a_formula(tmp_path):
    assert formulas(tmp_path, b'number,text\r\n1,=1+1\r\n2,x\r\n') == ["=1+1"]


def test_any_text_comes_back(tmp_path):
    chance = random.Random(os.environ.get("GW_SEED", "csv"))
    pieces = [*BLANKS, *SIGNS, "a", "1", ".", ",", ";", '"', "'", "\n", "\r\n", "\u592a"]
    texts = ["".join(chance.choice(pieces) for _ in range(chance.randrange(8))) for _ in range(3000)]
    data = table(texts)

    for text, found in zip(texts, read(data), strict=True):
        assert found in (text, "'" + text)
        bare = found.lstrip("".join(BLANKS) + "\n")
        assert not bare.startswith(tuple(SIGNS)) or bare.lstrip("+-").replace(".", "", 1).isdigit(), found
    assert formulas(tmp_path, data) == []
