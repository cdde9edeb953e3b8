"""The documents in docs/: what is made is as the package makes it today, and each example says what it says."""

import re

import pytest

from docs.make import DOCS, MADE_PAGES, WRITTEN_PAGES, with_outputs


@pytest.mark.parametrize("name", list(MADE_PAGES))
def test_a_made_page_is_what_the_package_says(name):
    assert (DOCS / name).read_text(encoding="utf-8") == MADE_PAGES[name]()


@pytest.mark.parametrize("name", WRITTEN_PAGES)
def test_each_example_says_what_the_command_says_today(name):
    page = (DOCS / name).read_text(encoding="utf-8")
    assert "```console\n$ bodytest " in page
    assert with_outputs(page) == page


def test_each_page_stands_in_the_index_and_every_link_leads_somewhere():
    pages = [page for folder in (DOCS, DOCS / "how-to") for page in sorted(folder.glob("*.md"))]
    links = {
        (page.parent / target.partition("#")[0]).resolve()
        for page in pages
        for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8"))
    }
    assert {page.resolve() for page in pages} <= {*links, (DOCS / "README.md").resolve()}
    assert [link for link in links if not link.exists()] == []
