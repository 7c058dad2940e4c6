"""The site in a browser: opened from a folder, at the width of a phone and of a desk. Skipped where Chromium is missing."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from publish_example import SITE
from publish_injection import infected

from rulewatch.publish.site import site_files

CHROMIUM = next((found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None)
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed here")

# Loads every page in a frame of each width and says how wide its content is, and whether its style came.
PROBE = """
const report = [];
const frames = [...document.querySelectorAll("iframe")];
const wait = Promise.all(frames.map(frame => new Promise(done => { frame.onload = done; })));
frames.forEach(frame => { frame.src = frame.dataset.src; });
wait.then(() => {
  for (const frame of frames) {
    const page = frame.contentDocument, root = page.documentElement;
    for (const fold of page.querySelectorAll("details")) fold.open = true;
    const wide = [...page.querySelectorAll("body *")].filter(
      each => !each.closest(".table-frame, .unseen, .skip") && each.getBoundingClientRect().right > root.clientWidth + 0.5);
    report.push({
      page: frame.dataset.src, width: frame.clientWidth, content: root.scrollWidth,
      wide: wide.slice(0, 3).map(each => each.outerHTML.slice(0, 80)),
      family: frame.contentWindow.getComputedStyle(page.querySelector("h1")).fontFamily, title: page.title,
    });
  }
  document.getElementById("report").textContent = JSON.stringify(report);
});
"""


def run(folder: Path, address: str, *flags: str) -> subprocess.CompletedProcess[str]:
    """Open an address and give the page as it stands after its scripts, with what the browser logged."""
    assert CHROMIUM is not None
    return subprocess.run(
        [
            CHROMIUM,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--enable-logging=stderr",
            f"--user-data-dir={folder / 'profile'}",
            "--allow-file-access-from-files",
            "--virtual-time-budget=8000",
            *flags,
            "--dump-dom",
            address,
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory, files: dict[str, bytes]) -> Path:
    """The example site, written to a folder, and the same with a very long word in every field."""
    root = tmp_path_factory.mktemp("site")
    long = {f"long/{path}": body for path, body in site_files(infected(SITE, "W" * 90)).items()}
    for path, body in ({f"public/{path}": body for path, body in files.items()} | long).items():
        target = root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(body)
    return root


@pytest.fixture(scope="module")
def opened(folder: Path, files: dict[str, bytes]) -> tuple[list[dict[str, Any]], str]:
    """What the browser says of every page at three widths, and its log."""
    pages = [path for path in files if path.endswith(".html")]
    frames = "".join(
        f'<iframe width="{w}" height="700" data-src="public/{page}"></iframe>' for w in (360, 800, 1280) for page in pages
    )
    (folder / "probe.js").write_text(PROBE, encoding="utf-8")
    (folder / "probe.html").write_text(
        f'<!doctype html><style>iframe {{ border: 0 }}</style><pre id="report"></pre>{frames}<script src="probe.js"></script>',
        encoding="utf-8",
    )
    done = run(folder, (folder / "probe.html").as_uri(), "--window-size=1400,900")
    found = re.search(r'<pre id="report">(.*?)</pre>', done.stdout, re.DOTALL)
    assert found is not None, done.stderr
    assert found[1], done.stderr
    return json.loads(html.unescape(found[1])), done.stderr


def test_no_page_scrolls_sideways(opened):
    """At 360, 800 and 1280 pixels nothing is wider than the page, folded parts opened too, however long a word is."""
    report, _ = opened
    assert {each["width"] for each in report} == {360, 800, 1280}
    assert [each for each in report if each["content"] > each["width"] or each["wide"]] == []


def test_style_comes_from_the_folder(opened):
    """The policy lets the site's own style pass when it is opened as files."""
    report, _ = opened
    assert {each["family"].split(",")[0] for each in report} == {"system-ui"}


def test_browser_has_nothing_to_complain_of(opened):
    """No error and no refusal in the browser's console."""
    _, log = opened
    assert [line for line in log.splitlines() if "CONSOLE" in line] == []


def test_policy_stops_what_is_not_ours(folder):
    """The test of the policy can fail: a script and a style inside the page are refused, and the console says so."""
    page = (folder / "public" / "open.html").read_text(encoding="utf-8")
    hostile = page.replace("</body>", "<script>document.title = 'taken'</script><style>h1 { color: red }</style></body>")
    (folder / "public" / "hostile.html").write_text(hostile, encoding="utf-8")
    done = run(folder, (folder / "public" / "hostile.html").as_uri())
    assert "<title>taken" not in done.stdout
    assert len([line for line in done.stderr.splitlines() if "CONSOLE" in line and "Content Security Policy" in line]) == 2
