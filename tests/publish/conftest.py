"""The example site, made once for all tests of this folder."""

from __future__ import annotations

import pytest
from publish_example import SITE
from publish_pages import Page, pages_of

from rulewatch.publish.site import site_files


@pytest.fixture(scope="session")
def files() -> dict[str, bytes]:
    """The files of the example site."""
    return site_files(SITE)


@pytest.fixture(scope="session")
def pages(files: dict[str, bytes]) -> dict[str, Page]:
    """Its pages, parsed."""
    return pages_of(files)
