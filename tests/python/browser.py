"""A real browser for the tests of pages: Debian's chromium, driven by Playwright.

A page under test may fetch nothing and complain of nothing: both are checked when it is left.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import axe_playwright_python
from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")


@contextmanager
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield browser
        browser.close()


@contextmanager
def opened(browser: Browser, text: str, folder: Path, **given: object) -> Iterator[Page]:
    """A page of this text, from a file. given: width, height, and what Browser.new_context takes."""
    size = {"width": given.pop("width", 1240), "height": given.pop("height", 900)}
    file = folder / "page.html"
    file.write_text(text, encoding="utf-8", newline="\n")
    context = browser.new_context(viewport=size, **given)
    page = context.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("dialog", lambda dialog: (said.append(f"dialog {dialog.message}"), dialog.dismiss()))
    page.goto(file.as_uri())
    yield page
    context.close()
    assert {url for url in asked if not re.match(r"about:|data:", url)} == {file.as_uri()}, "fetched"
    assert said == [], "said"


def violations(page: Page) -> list[str]:
    """What axe-core finds serious or critical in a page."""
    page.evaluate(AXE)
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    assert len(found["passes"]) > 10, "axe looked at nothing"
    return [
        f"{one['id']}: {node['html'][:200]} {node['failureSummary']}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]
