# SPDX-License-Identifier: MIT
"""What is posted, beside a reader of CommonMark (0.30, spec.commonmark.org) with the links of GitHub Flavored Markdown
and those that linkify-it finds in plain text: no label becomes a link, code, markup or another sign.
"""
import html
import os
import pathlib
import random
import re
import subprocess

from markdown_it import MarkdownIt

BUILD = pathlib.Path(os.environ["GAINWARDEN_BUILD"])
PIECES = ["@", "#", "&", "&lt;", "&#64;", "<", ">", "[", "]", "](", "(", ")", ":", "/", "//", "http", "https://",
          "mailto:", "ftp://", "www.", ".", ".com", ".example", "`", "``", " ", "x", "mix", "1", "!", "<b>",
          "<a href='x'>", "\u00e9", "\uff20", "\uff0e", "\u3002com", "\u200b", "\u2060", "\u00ad", "?", "=", "-", "user",
          "127.0.0.1"]
KNOWN = ["[x](http://host.example/a)", "http://host.example", "www.host.example", "host.com", "<http://host.example>",
         "someone@host.com", "mailto:someone@host.com", "`code`", "&lt;", "<b>bold</b>", "[x]: http://host.com",
         "//host.com"]


def rendered(text):
    return MarkdownIt("gfm-like").render("label " + text + " end")


def linked(text):
    page = rendered(text)
    return re.search(r"<(?!/?(p|em|strong|s|br)\b)", page) or "`" in text and "<code>" in page


def words_only(texts):
    done = subprocess.run([BUILD / "tests" / "words_probe"], input="\n".join(texts) + "\n", text=True,
                          capture_output=True, timeout=60, check=True)
    return done.stdout.split("\n")[:-1]


def test_what_links_links_no_more():
    for text, words in zip(KNOWN, words_only(KNOWN), strict=True):
        assert linked(text) or html.unescape(text) != text or text.startswith(("www", "[x]:", "//")), text
        assert not linked(words), (text, rendered(words))


def test_no_text_links_or_marks_up():
    chance = random.Random(os.environ.get("GW_SEED", "words"))
    texts = ["".join(chance.choice(PIECES) for _ in range(chance.randrange(1, 20))) for _ in range(10000)]
    were = sum(bool(linked(text)) for text in texts)
    assert were > 1000
    for text, words in zip(texts, words_only(texts), strict=True):
        assert not linked(words), (text, words, rendered(words))
        assert html.unescape(words) == words, (text, words)
