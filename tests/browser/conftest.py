"""A real JupyterLab on a free port, the same notebooks as plain pages on another, and a real
Chromium to drive both.

Where either is missing these tests skip and say what to install; with POPKIT_REQUIRE_BROWSER=1
they fail instead, so that nobody takes a skipped test for a passed one.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def pytest_collection_modifyitems(items):
    for item in items:
        if Path(__file__).parent in Path(item.fspath).parents:
            item.add_marker(pytest.mark.browser)


def _missing(what: str) -> None:
    if os.environ.get("POPKIT_REQUIRE_BROWSER") == "1":
        pytest.fail(what, pytrace=False)
    pytest.skip(what)


@pytest.fixture(scope="session")
def chromium():
    """A browser, closed at the end."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("Playwright is missing: pip install playwright")
    named = os.environ.get("POPKIT_CHROMIUM")
    path = named or shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        _missing("Chromium is missing: apt-get install chromium, or set POPKIT_CHROMIUM to its path")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(ARGUMENTS))
        yield browser
        browser.close()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Lab:
    """A running JupyterLab: its address, and the folder it serves."""

    def __init__(self, url: str, root: Path) -> None:
        self.url, self.root = url, root


def _apart(home: Path) -> dict[str, str]:
    """An environment in which Jupyter keeps its settings to itself, and popkit is this one."""
    environment = os.environ | {
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_DATA_DIR": str(home / "data"),
        "JUPYTER_RUNTIME_DIR": str(home / "runtime"),
        "JUPYTERLAB_SETTINGS_DIR": str(home / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(home / "workspaces"),
        "IPYTHONDIR": str(home / "ipython"),
        "PYTHONPATH": os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH", "")])),
    }
    environment.pop("POPKIT_HANDOUTS", None)
    return environment


@contextmanager
def _served(command: list[str], environment: dict[str, str], home: Path, url: str, alive: str):
    """A server, from its first answer until it is no longer needed."""
    said = home / "server.log"
    with said.open("w") as log:
        server = subprocess.Popen(command, env=environment, cwd=home, stdout=log, stderr=log)
        try:
            for _ in range(240):
                if server.poll() is not None:
                    pytest.fail(f"{command[2]} stopped:\n{said.read_text()}", pytrace=False)
                try:
                    with urllib.request.urlopen(f"{url}{alive}", timeout=2):
                        break
                except OSError:
                    time.sleep(0.25)
            else:
                pytest.fail(f"{command[2]} did not start within a minute", pytrace=False)
            yield url
        finally:
            server.terminate()
            try:
                server.wait(20)
            except subprocess.TimeoutExpired:
                server.kill()


@pytest.fixture(scope="session")
def lab(tmp_path_factory):
    """JupyterLab over a copy of the notebooks, its settings its own, no token, no news."""
    home = tmp_path_factory.mktemp("lab")
    root = home / "class"
    shutil.copytree(ROOT / "notebooks", root / "notebooks")
    (root / "handouts").mkdir()
    port = _free_port()
    environment = _apart(home)
    settings = home / "settings" / "@jupyterlab" / "apputils-extension"
    settings.mkdir(parents=True)
    quiet = {"fetchNews": "false", "checkForUpdates": False}
    (settings / "notification.jupyterlab-settings").write_text(json.dumps(quiet))
    command = [
        sys.executable,
        "-m",
        "jupyterlab",
        "--no-browser",
        "--expose-app-in-browser",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        "--ServerApp.ip=127.0.0.1",
        "--ServerApp.allow_root=True",
        "--IdentityProvider.token=",
        "--ServerApp.password=",
        f"--ServerApp.root_dir={root}",
        "--LabApp.news_url=",
        "--LabApp.extension_manager=readonly",
    ]
    with _served(command, environment, home, f"http://127.0.0.1:{port}", "/api/status") as url:
        yield Lab(url, root)


@pytest.fixture(scope="session")
def voila(tmp_path_factory):
    """The notebooks as plain pages, as a class on tablets sees them, over a copy of their own."""
    if find_spec("voila") is None:
        _missing('voila is missing: pip install -e ".[test]"')
    home = tmp_path_factory.mktemp("pages")
    root = home / "class"
    shutil.copytree(ROOT / "notebooks", root / "notebooks")
    (root / "handouts").mkdir()
    port = _free_port()
    command = [
        *(sys.executable, "-m", "voila", str(root / "notebooks"), "--no-browser"),
        *("--Voila.ip=127.0.0.1", f"--port={port}", "--ServerApp.port_retries=0"),
    ]
    with _served(command, _apart(home), home, f"http://127.0.0.1:{port}", "/") as url:
        yield Lab(url, root)


# What JupyterLab itself writes to the console, none of it ours.
KNOWN = (
    # how long its own plugins took to start, on a slow or busy machine
    re.compile(r"Plugin \S+ (\(with \d+ dependants\) took [\d.]+ms|is taking too long) to activate\."),
)


class Page:
    """A notebook open in JupyterLab, with everything its console said."""

    def __init__(self, page, url: str) -> None:
        self.page, self.said = page, []
        page.on("console", lambda message: self._heard(message.type, message.text))
        page.on("pageerror", lambda error: self.said.append(f"page error: {error}"))
        page.goto(url)

    def _heard(self, kind: str, text: str) -> None:
        if kind in ("error", "warning"):
            self.said.append(f"{kind}: {text}")

    @property
    def unexpected(self) -> list[str]:
        """What the console said that JupyterLab does not say by itself."""
        return [line for line in self.said if not any(known.search(line) for known in KNOWN)]

    def run_all(self) -> None:
        """Run every cell, once session and kernel are ready, and wait until the last has run.

        Before the kernel is connected "Run All" does nothing, and says nothing.
        """
        page = self.page
        page.wait_for_selector(".jp-NotebookPanel .jp-Cell", timeout=60_000)
        page.wait_for_function(
            """() => {
                const shell = window.jupyterapp && window.jupyterapp.shell;
                const panel = shell && shell.currentWidget;
                const context = panel && panel.sessionContext;
                const kernel = context && context.session && context.session.kernel;
                return Boolean(kernel && context.isReady && kernel.connectionStatus === 'connected'
                    && kernel.status === 'idle');
            }""",
            timeout=90_000,
        )
        page.evaluate(
            "() => window.jupyterapp.commands.execute('notebook:run-all-cells').then(() => true)"
        )

    def bring_up(self, cell: str) -> None:
        """Scroll to a cell by its id, as cells out of sight are not drawn."""
        self.page.evaluate(
            """(id) => {
                const cells = window.jupyterapp.shell.currentWidget.content;
                const place = cells.widgets.findIndex((cell) => cell.model.id === id);
                return cells.scrollToItem(place, 'start');
            }""",
            cell,
        )


@pytest.fixture
def open_notebook(chromium, lab):
    """Open a notebook by name in a page of its own; all pages are closed at the end.

    Recipes that another test saved are gone, so that it does not matter which runs first.
    """
    opened = []
    shutil.rmtree(lab.root / "notebooks" / "recipes")
    shutil.copytree(ROOT / "notebooks" / "recipes", lab.root / "notebooks" / "recipes")

    def opener(name: str) -> Page:
        context = chromium.new_context(viewport={"width": 1500, "height": 1000})
        opened.append(context)
        context.set_default_timeout(30_000)
        page = context.new_page()
        return Page(page, f"{lab.url}/lab/tree/notebooks/{name}?reset")

    yield opener
    for context in opened:
        context.close()
