"""Work in a thread: it posts how far it is, and what it came to is taken by the page."""

import subprocess
import sys
import threading
import time

import pytest

from assaybench.bench.jobs import Job, Post
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput
from tests.bench.hands import at_once


def waited(job: Job[int]) -> None:
    end = time.monotonic() + 60
    while not job.over:
        assert time.monotonic() < end
        time.sleep(0.002)


def test_what_it_came_to_is_there_when_it_is_over() -> None:
    posted, gate = threading.Event(), threading.Event()

    def work(post: Post) -> int:
        post(1, 3)
        posted.set()
        gate.wait(60)
        return 7

    job = Job(work)
    assert posted.wait(60)
    assert (job.over, job.done, job.result()) == (False, (1, 3), None)
    gate.set()
    waited(job)
    assert (job.result(), job.faults) == (7, ())


def test_short_work_is_over_when_the_page_is_made() -> None:
    """Of twenty, one at least: on a busy machine a thread may have to wait for its turn."""

    def work(_post: Post) -> int:
        time.sleep(0.01)
        return 7

    jobs = (Job(work) for _ in range(20))
    assert any(job.over and job.result() == 7 for job in jobs)


def test_work_that_only_reads_does_not_keep_the_program_from_its_end() -> None:
    code = (
        "import time\n"
        "from assaybench.bench.jobs import Job, only_reading\n"
        "Job(lambda _post: time.sleep(600), only_reading)\n"
        "print('closed')"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert (done.stdout, done.stderr) == ("closed\n", "")


def test_work_that_writes_comes_to_its_end() -> None:
    code = (
        "import threading, time\n"
        "from assaybench.bench.jobs import Job\n"
        "gate = threading.Event()\n"
        "Job(lambda _post: (gate.wait(), time.sleep(0.3), print('written')))\n"
        "print('closed', flush=True)\n"
        "gate.set()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout == "closed\nwritten\n"


def test_work_that_nobody_waits_for_ends_at_its_next_post() -> None:
    gate, ended = threading.Event(), []

    def work(post: Post) -> int:
        for n in range(1000):
            gate.wait(60)
            post(n, 1000)
        ended.append("whole")
        return 7

    job = Job(work)
    job.give_up()
    gate.set()
    waited(job)
    assert (job.result(), job.faults, ended) == (None, (), [])


@pytest.mark.parametrize("fault", [BadInput(["one", "two"]), NotDone(["one", "two"])])
def test_what_could_not_be_done_is_told_in_its_lines(fault: Exception) -> None:
    def work(_post: Post) -> int:
        raise fault

    job = Job(work, at_once)
    assert (job.over, job.faults, job.result()) == (True, ("one", "two"), None)


def test_a_fault_of_the_program_is_raised_where_it_is_seen() -> None:
    def work(_post: Post) -> int:
        raise RuntimeError("broken on purpose")

    job = Job(work)
    waited(job)
    with pytest.raises(RuntimeError, match="broken on purpose"):
        job.result()
