"""Who makes the parts: threads, processes, or the workers of a cluster."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ..base.stopping import stopped, with_parent
from .jobs import Job, make

if TYPE_CHECKING:
    from concurrent import futures


class WorkerDied(Exception):
    """The process that made a part died."""


def backend(client: Any, processes: int | None, threads: int) -> Here | Processes | Cluster:
    if client is not None:
        return Cluster(client)
    return Processes(processes) if processes else Here(threads)


def run(jobs: Sequence[Job], where: Here | Processes | Cluster, do: Callable[[Job], int] = make) -> Iterator[Job]:
    """Makes the parts and gives each when it is whole. A job whose worker dies is done again, then alone; if it dies
    then, the plays it dies of are found by halves and left out."""
    waiting = list(reversed(jobs))
    running: dict[Any, Job] = {}
    with where:
        while waiting or running:
            while waiting and len(running) < where.most:
                job = waiting.pop()
                running[where.submit(do, job)] = job
            for future in where.finished(list(running)):
                job = running.pop(future)
                try:
                    where.result(future)
                    yield job
                except WorkerDied:
                    job = replace(job, deaths=job.deaths + 1)
                    if job.deaths <= where.chances:
                        waiting.append(job)
                        continue
                    suspects = [play for play in job.piece.plays if play not in dict(job.without)]
                    dead = deadly(job, suspects, where, do)
                    waiting.append(replace(job, deaths=0, without=job.without + tuple(dead.items())))


def deadly(
    job: Job, plays: Sequence[str], where: Here | Processes | Cluster, do: Callable[[Job], int]
) -> dict[str, str]:
    """Which of these plays kill the process that measures them; found by halves, each tried alone."""
    found: dict[str, str] = {}
    if len(plays) == 1:
        return {plays[0]: "the process that measured it died"}
    for half in (plays[: len(plays) // 2], plays[len(plays) // 2 :]):
        others = tuple((play, "") for play in job.piece.plays if play not in half)
        try:
            where.alone(do, replace(job, without=others, trial=True))
        except WorkerDied:
            found |= deadly(job, half, where, do)
        except Exception:  # raised, not died: the part itself will name it
            continue
    return found


class Here:
    """Threads of this process."""

    chances = 0

    def __init__(self, threads: int) -> None:
        from concurrent import futures

        self.most = threads
        self.pool: futures.Executor = futures.ThreadPoolExecutor(threads)

    def __enter__(self) -> Here:
        stopped.clear()
        return self

    def __exit__(self, kind: object, *_: object) -> None:
        if kind is not None:
            self.stop()
        self.pool.shutdown(cancel_futures=True)

    def stop(self) -> None:
        """What is under way is not waited for."""
        stopped.set()

    def submit(self, do: Callable[[Job], int], job: Job) -> Any:
        return self.pool.submit(do, job)

    def finished(self, running: list[Any]) -> set[Any]:
        from concurrent import futures

        return set(futures.wait(running, return_when=futures.FIRST_COMPLETED).done)

    def result(self, future: Any) -> Any:
        return future.result()

    def alone(self, do: Callable[[Job], int], job: Job) -> Any:
        return do(job)


class Processes(Here):
    """Processes of this machine. If one is killed the whole pool breaks, and a new one is made."""

    chances = 2

    def __init__(self, processes: int) -> None:
        self.most = self.processes = processes
        self.pool = self.new(processes)

    @staticmethod
    def new(processes: int) -> futures.ProcessPoolExecutor:
        from concurrent import futures
        from multiprocessing import get_context

        context = get_context("spawn")
        return futures.ProcessPoolExecutor(
            processes, mp_context=context, initializer=with_parent, initargs=(os.getpid(),)
        )

    def stop(self) -> None:
        for process in list((self.pool._processes or {}).values()):  # type: ignore[attr-defined]
            process.kill()

    def submit(self, do: Callable[[Job], int], job: Job) -> Any:
        from concurrent import futures

        try:
            return self.pool.submit(do, job)
        except futures.BrokenExecutor:
            self.pool.shutdown()
            self.pool = self.new(self.processes)
            return self.pool.submit(do, job)

    def result(self, future: Any) -> Any:
        from concurrent import futures

        try:
            return future.result()
        except futures.BrokenExecutor as why:
            raise WorkerDied from why

    def alone(self, do: Callable[[Job], int], job: Job) -> Any:
        with self.new(1) as pool:
            return self.result(pool.submit(do, job))


class Cluster(Here):
    """Workers of a Dask cluster, which does again by itself what a dead worker had."""

    chances = 0

    def __init__(self, client: Any) -> None:
        self.client = client
        self.most = 2 * max(1, sum(client.nthreads().values()))

    def __exit__(self, *_: object) -> None: ...

    def submit(self, do: Callable[[Job], int], job: Job) -> Any:
        return self.client.submit(do, job, pure=False)

    def finished(self, running: list[Any]) -> set[Any]:
        from distributed import wait as wait_for

        done = wait_for(running, return_when="FIRST_COMPLETED").done  # type: ignore[no-untyped-call]
        return set(done)

    def result(self, future: Any) -> Any:
        from distributed import KilledWorker

        try:
            return future.result()
        except KilledWorker as why:
            raise WorkerDied from why

    def alone(self, do: Callable[[Job], int], job: Job) -> Any:
        return self.result(self.submit(do, job))
