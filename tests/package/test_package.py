# SPDX-License-Identifier: MIT
"""What is in the package. lintian judges it by the Debian Policy Manual."""
import re
import subprocess

from parts import ROOT, call, field


def test_lintian_has_nothing_to_say(package):
    """At every level that it calls an error or a warning, and no override hides one."""
    done = subprocess.run(["lintian", "--allow-root", "--fail-on", "error,warning", "--show-overrides", package],
                          capture_output=True, text=True, check=False)
    assert done.returncode == 0 and not re.search("^[EWO]: ", done.stdout, re.M), done.stdout


def test_version_and_changelog_are_one(package):
    first = (ROOT / "contrib" / "debian" / "changelog").read_text().split("\n")[0]
    version = re.search(r"\((.*?)\)", first)[1]
    assert field(package, "Version") == version
    assert f"VERSION {version} " in (ROOT / "CMakeLists.txt").read_text()
    assert package.name == f"gainwarden_{version}_{field(package, 'Architecture')}.deb"


def test_the_licence_is_the_licence():
    words = (ROOT / "contrib" / "debian" / "copyright").read_text().split("License: Expat")[1]
    assert words.replace("\n .\n", "\n").split() == (ROOT / "LICENSE").read_text().split("authors\n")[1].split()


def test_every_page_and_example_is_in_it(package, tmp_path):
    call("dpkg-deb", "--extract", package, tmp_path)
    for page in (ROOT / "contrib" / "man").iterdir():
        assert (tmp_path / f"usr/share/man/man{page.suffix[1:]}" / (page.name + ".gz")).is_file(), page
    for folder in ("demo", "dialects", "schema", "scheme"):
        for file in (ROOT / "contrib" / folder).iterdir():
            assert (tmp_path / "usr/share/doc/gainwarden/examples" / folder / file.name).read_bytes() == \
                file.read_bytes()
