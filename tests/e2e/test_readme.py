"""README.md shows a real audit page: the very one that the program prints of the demo."""
import re

import harness


def normal(page):
    """Its words without what differs from run to run: port, time, duration, and where a line is full."""
    page = re.sub(r"port \d+, \S+", "PORT, TIME", harness.flat(page))
    return re.sub(harness.ANSWERED, "answered in TIME", page)


def test_readme_shows_the_page_that_the_demo_prints():
    readme = (harness.ROOT / "README.md").read_text()
    shown = re.search(r"```text\n(.*?)```", readme, re.S).group(1)
    desk = harness.MockDesk()
    result = harness.run("audit", harness.SHOW, "--desk", desk.at)
    assert normal(result.out) == normal(shown)
