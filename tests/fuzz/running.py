"""Inputs drawn one by one and read in a process of their own, under limits: what became of each, and a table of all.

The n-th input of a door depends on nothing but the seed, the door and n (and on keys, which are new each time), so that
any can be drawn again. The process is asked for one input at a time: if it dies, that input killed it.
"""

import contextlib
import hashlib
import resource
import tempfile
import time
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from random import Random
from typing import Literal

from grader.errors import GraderError
from tests.fuzz.mutating import LARGEST, spoiled
from tests.fuzz.target import Read, Target

CORPUS = Path(__file__).parent / "corpus"
"""Inputs that once were read badly, a folder a door: all are read again in every run."""
CPU_S, WALL_S = 10.0, 60.0
"""Of processor time an input may take; and on the clock, for what waits without working."""
MEMORY_MB = 1500
"""What the reading process may hold at most, the program itself (some 250 MB) included."""
ADDRESSES_MB = 6000
"""Of addresses, so that what asks for more fails and doesn't take the machine's memory."""

Kind = Literal["refused", "accepted", "crash", "hang", "memory"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """What became of one input: in processor seconds, the most memory that the process held meanwhile, and how much of
    that the reading added."""

    kind: Kind
    words: str
    cpu_s: float
    peak_mb: float
    grown_mb: float


@dataclass(slots=True, kw_only=True)
class Told:
    """What became of all inputs of a door; of the bad ones how they were read, and where they were kept."""

    name: str
    inputs: int = 0
    refused: int = 0
    accepted: int = 0
    slowest_s: float = 0.0
    peak_mb: float = 0.0
    bad: dict[str, Path] = field(default_factory=dict)

    def count(self, came: Came) -> None:
        """Add one input."""
        self.inputs += 1
        self.refused += came.kind == "refused"
        self.accepted += came.kind == "accepted"
        self.slowest_s, self.peak_mb = max(self.slowest_s, came.cpu_s), max(self.peak_mb, came.peak_mb)


class Reader:
    """The process that reads, begun anew when it has died."""

    def __init__(self, scratch: Path) -> None:
        self._scratch, self._context = scratch, get_context("spawn")
        self._begin()

    def _begin(self) -> None:
        self._line, other = self._context.Pipe()
        self._process = self._context.Process(target=_serve, args=(other, self._scratch), daemon=True)
        self._process.start()
        other.close()

    def read(self, door: str, data: bytes) -> Came:
        """What becomes of an input."""
        try:
            self._line.send((door, data))
            if not self._line.poll(WALL_S):
                self._process.kill()
                self._process.join()
                self._begin()
                return Came(kind="hang", words=f"no answer for {WALL_S:.0f} s", cpu_s=WALL_S, peak_mb=0, grown_mb=0)
            came: Came = self._line.recv()
        except (EOFError, ConnectionError):
            self._process.join()
            words = f"the process died of {self._process.exitcode}"
            self._begin()
            return Came(kind="crash", words=words, cpu_s=0, peak_mb=0, grown_mb=0)
        return came

    def close(self) -> None:
        """End the process."""
        self._line.close()
        self._process.join(10)
        self._process.kill()


def _serve(line: Connection, scratch: Path) -> None:
    from tests.fuzz.targets import TARGETS

    warnings.simplefilter("ignore")
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESSES_MB * 2**20, ADDRESSES_MB * 2**20))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    readers: dict[str, Read] = {}
    with contextlib.suppress(EOFError):
        while True:
            door, data = line.recv()
            if door not in readers:
                target = next(one for one in TARGETS if one.name == door)
                readers[door] = target.open(_folder(scratch, target))
            line.send(_measured(readers[door], data))


def _measured(read: Read, data: bytes) -> Came:
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")  # the peak is counted from here
    held_mb, begun = _peak_mb(), time.process_time()
    kind, words = _read(read, data)
    cpu_s = time.process_time() - begun
    peak_mb = _peak_mb()
    if kind != "crash" and cpu_s > CPU_S:
        kind, words = "hang", f"{cpu_s:.0f} s of processor time"
    elif kind != "crash" and peak_mb > MEMORY_MB:
        kind, words = "memory", f"{peak_mb:.0f} MB"
    return Came(kind=kind, words=words, cpu_s=cpu_s, peak_mb=peak_mb, grown_mb=peak_mb - held_mb)


def _read(read: Read, data: bytes) -> tuple[Kind, str]:
    try:
        read(data)
    except GraderError as error:
        clear = bool(error.message.strip() and error.hint.strip())
        return ("refused", str(error)[:200]) if clear else ("crash", f"a refusal without words: {error!r}")
    except BaseException as error:  # noqa: BLE001 - whatever comes through is what is looked for
        return "crash", _where(error)
    return "accepted", ""


def _where(error: BaseException) -> str:
    trace, last = error.__traceback__, ""
    while trace is not None:
        code = trace.tb_frame.f_code
        last = f"{Path(code.co_filename).name}:{trace.tb_lineno}" if "grader" in code.co_filename else last
        trace = trace.tb_next
    return f"{type(error).__name__} at {last}: {str(error)[:120]}"


def _peak_mb() -> float:
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.partition("VmHWM:")[2].split()[0]) / 1024


def _folder(scratch: Path, target: Target) -> Path:
    folder = scratch / hashlib.sha256(target.name.encode()).hexdigest()[:12]
    folder.mkdir(exist_ok=True)
    return folder


def drawn(target: Target, seeds: Sequence[bytes], *, seed: int, number: int) -> bytes:
    """The n-th input of a door."""
    return spoiled(Random(f"{seed} {target.name} {number}"), seeds, target.ways)[:LARGEST]  # noqa: S311


def kept_inputs(target: Target) -> Iterator[bytes]:
    """The door's part of the corpus."""
    yield from (path.read_bytes() for path in sorted(corpus_folder(target).glob("*.bin")))


def corpus_folder(target: Target) -> Path:
    """Where inputs of a door are kept."""
    return CORPUS / "".join(c if c.isalnum() else "-" for c in target.name).strip("-")


def fuzz(
    targets: Sequence[Target], *, seed: int, count: int | None = None, seconds: float | None = None, bad: Path
) -> Iterator[Told]:
    """Read good inputs, the corpus, then drawn ones: `count` at each door (times its share), or for its share of time.

    What is read badly is kept in `bad`, one input for each place where it went wrong.
    """
    with tempfile.TemporaryDirectory() as scratch:
        reader = Reader(Path(scratch))
        for target in targets:
            seeds = target.seeds(_folder(Path(scratch), target))
            told = Told(name=target.name)
            share = target.share / sum(one.share for one in targets)
            ends = None if seconds is None else time.monotonic() + seconds * share
            for data in (*seeds, *kept_inputs(target)):
                _one(reader, target, data, told, bad)
            number = 0
            while number < count * target.share if count is not None else ends is None or time.monotonic() < ends:
                _one(reader, target, drawn(target, seeds, seed=seed, number=number), told, bad)
                number += 1
            yield told
        reader.close()


def _one(reader: Reader, target: Target, data: bytes, told: Told, bad: Path) -> None:
    came = reader.read(target.name, data)
    told.count(came)
    if came.kind in ("crash", "hang", "memory"):
        words = f"{came.kind}: {came.words}"
        place = words.rpartition(": ")[0] if " at " in words else came.kind
        if not any(place in known for known in told.bad):
            bad.mkdir(parents=True, exist_ok=True)
            file = bad / f"{corpus_folder(target).name}-{hashlib.sha256(data).hexdigest()[:12]}.bin"
            file.write_bytes(data)
            told.bad[words] = file


def table(rows: Sequence[Told]) -> str:
    """All doors as Markdown."""
    lines = ["| door | inputs | clear refusals | accepted | crashes, hangs | slowest, s | most memory, MB |"]
    lines.append("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
    for one in rows:
        wrong = one.inputs - one.refused - one.accepted
        cells = f"{one.inputs} | {one.refused} | {one.accepted} | {wrong} | {one.slowest_s:.2f} | {one.peak_mb:.0f}"
        lines.append(f"| {one.name} | {cells} |")
    return "\n".join(lines)
