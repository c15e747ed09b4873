"""Long work beside a panel: the page stays alive, the work can be stopped, what is stale is dropped.

The work runs in a thread and touches no widget; what it tells, and what it gives in the end, is
handed over in the kernel's own thread, where the panel may show it. One piece of work runs at a
time: another one asks the first to stop and begins when it has. Without an event loop (plain
Python) what was told waits until `wait`.

Imports: nothing.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from queue import Empty, SimpleQueue

__all__ = ["Background"]


@dataclass(slots=True)
class _Job:
    told: Callable[[object], None]
    done: Callable[[object, Exception | None], None]
    stopped: threading.Event = field(default_factory=threading.Event)
    stale: bool = False
    over: bool = False
    thread: threading.Thread | None = None


class Background:
    """One piece of long work at a time."""

    def __init__(self) -> None:
        self._news: SimpleQueue[tuple[_Job, str, object]] = SimpleQueue()
        self._job: _Job | None = None
        self._loop: asyncio.AbstractEventLoop | None = None

    @property
    def busy(self) -> bool:
        """Whether something is under way whose result has not been handed over."""
        return self._job is not None and not self._job.over

    @property
    def stopping(self) -> bool:
        """Whether what is under way was asked to stop."""
        return self.busy and self._job.stopped.is_set()

    def start(
        self,
        work: Callable[[Callable[[object], None], Callable[[], bool]], object],
        told: Callable[[object], None],
        done: Callable[[object, Exception | None], None],
    ) -> None:
        """Begin a piece of work; what was under way is stopped, and nothing of it is shown.

        work  called in a thread with (tell, stop): a function to tell how far it has come, and one
              that answers True once it should come to an end
        told  called with the latest of what it told
        done  called with what it returned and None, or with None and what it raised
        """
        self.drop()
        before = self._job
        try:
            self._loop = asyncio.get_running_loop()
        except RuntimeError:
            self._loop = None
        job = self._job = _Job(told, done)
        job.thread = threading.Thread(
            target=self._run, args=(job, before, work), name="popkit-background", daemon=True
        )
        job.thread.start()

    def stop(self) -> None:
        """Ask what is under way to come to an end; what it has by then is kept."""
        if self.busy:
            self._job.stopped.set()

    def drop(self) -> None:
        """Ask what is under way to come to an end; nothing of it is shown any more."""
        if self.busy:
            self._job.stale = self._job.over = True
            self._job.stopped.set()

    def wait(self) -> None:
        """Until nothing is under way and all is handed over. An interrupt stops the work."""
        while self.busy:
            job = self._job
            try:
                while job.thread.is_alive():
                    job.thread.join(0.2)
            except KeyboardInterrupt:
                job.stopped.set()
                job.thread.join()
            self._deliver()

    # In the thread ------------------------------------------------------------------

    def _run(self, job: _Job, before: _Job | None, work: Callable) -> None:
        if before is not None and before.thread is not None:
            before.thread.join()
        if job.stale:
            return
        try:
            result, error = work(lambda news: self._tell(job, "told", news), job.stopped.is_set), None
        except Exception as slip:  # handed over, and shown or raised there
            result, error = None, slip
        self._tell(job, "done", (result, error))

    def _tell(self, job: _Job, kind: str, news: object) -> None:
        self._news.put((job, kind, news))
        loop = self._loop
        if loop is not None and not loop.is_closed():
            loop.call_soon_threadsafe(self._deliver)

    # In the kernel's own thread -------------------------------------------------------

    def _deliver(self) -> None:
        """Hand over what there is: of how far it has come the latest only."""
        latest: dict[int, tuple[_Job, object]] = {}
        ends: list[tuple[_Job, object]] = []
        while True:
            try:
                job, kind, news = self._news.get_nowait()
            except Empty:
                break
            if job.stale or job.over:
                continue
            if kind == "done":
                ends.append((job, news))
            else:
                latest[id(job)] = (job, news)
        for job, news in latest.values():
            job.told(news)
        for job, (result, error) in ends:
            job.over = True
            if not job.stale:
                job.done(result, error)
