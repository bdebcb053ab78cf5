"""A real browser without a window: a page goes in, and what its script left in it comes out."""

import html
import json
import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import pytest

FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--disable-dev-shm-usage",
)  # fmt: skip


def chromium() -> str:
    """The browser. Where there is none the test is left out, or fails if TAUTBOOK_CHROMIUM says it is required."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        if os.environ.get("TAUTBOOK_CHROMIUM") == "required":
            pytest.fail("chromium is required here, and it is not installed")
        pytest.skip("chromium is not installed")
    return found


def dumped(page: str, seconds: int = 300) -> str:
    """The document of a page after its scripts have run."""
    browser = chromium()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        file = folder / "page.html"
        file.write_text(page, encoding="utf-8")
        profile = f"--user-data-dir={folder / 'profile'}"
        command = [browser, *FLAGS, profile, "--dump-dom", file.as_uri()]
        done = subprocess.run(command, capture_output=True, timeout=seconds, check=True)
    return done.stdout.decode("utf-8")


def result_of(page: str) -> Any:
    """The JSON that the script of the page wrote into its element ``result``."""
    document = dumped(page)
    found = re.search(r'<pre id="result">(.*?)</pre>', document, re.DOTALL)
    assert found is not None and found[1], document[-2000:]
    return json.loads(html.unescape(found[1]))
