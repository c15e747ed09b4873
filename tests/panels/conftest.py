"""Panels tell by a running event loop whether there is a kernel: none of another test may run here."""

from __future__ import annotations

import asyncio

import pytest


@pytest.fixture(autouse=True)
def no_loop_of_another_test():
    """The browser's driver keeps a loop going in this thread for as long as its session lasts."""
    running = asyncio._get_running_loop()
    asyncio._set_running_loop(None)
    yield
    asyncio._set_running_loop(running)
