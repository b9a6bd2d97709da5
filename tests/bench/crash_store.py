"""Nothing reported as saved is ever lost: kills, failing disks, many writers; and how quick 10,000 profiles are.

Usage: python tests/bench/crash_store.py [--kills N] [--seconds S] [--profiles N]

Prints one line a trial; ends with exit code 1 if a single version is missing or can't be opened.
"""

import argparse
import errno
import multiprocessing
import os
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from multiprocessing.process import BaseProcess as Process
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
SEED = 20260501
REFUSED = "refused:"
LONGEST_LIFE_S = 0.6
"""So long a child saves at most before it is killed; a save takes 15 to 100 ms, by what else the machine does."""


def save_on_and_on(folder: str, who: str, until: float, told: str) -> None:
    """Save into one profile in a loop; a version is told, in the file `told`, only after the save has returned."""
    from rotary.errors import RotaryError
    from rotary.job import job_from_file
    from rotary.shipped import FIRST, examples
    from rotary.store.profiles import keep

    job = job_from_file(examples()[FIRST])
    handle = os.open(told, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    number = 0
    while time.time() < until:
        number += 1
        remark = f"{who} {number}"
        try:
            saved = keep(job.model_copy(update={"note": remark}), "Bottle of the trial", Path(folder))
        except RotaryError:
            os.write(handle, f"{REFUSED} {remark}\t{remark}\n".encode())
            continue
        os.write(handle, f"{saved.path.parent.name}/{saved.path.name}\t{remark}\n".encode())


def discard_on_and_on(folder: str, until: float) -> None:
    """Throw away whatever is there and take one back, in a loop, whoever is saving into it."""
    from rotary.errors import RotaryError
    from rotary.store import history
    from rotary.store.index import entries

    while time.time() < until:
        with suppress(RotaryError):
            for entry in entries(Path(folder)):
                history.discard(entry.home, Path(folder))
        with suppress(RotaryError):
            history.restore_from_bin("Bottle of the trial", Path(folder))


def started(work: Callable[..., None], *arguments: object) -> Process:
    """A started process."""
    how = "fork" if "fork" in multiprocessing.get_all_start_methods() else "spawn"
    process = multiprocessing.get_context(how).Process(target=work, args=arguments)
    process.start()
    return process


def saving(folder: Path, who: str, seconds: float, told: Path) -> Process:
    """A started process that saves in a loop."""
    return started(save_on_and_on, str(folder), who, time.time() + seconds, str(told))


def reported(output: bytes) -> dict[str, str]:
    """The versions that a child told, each with its remark; a line that was cut off told nothing."""
    whole = output[: output.rfind(b"\n") + 1].decode()
    return dict(line.split("\t") for line in whole.splitlines() if "\t" in line)


def lost(folder: Path, told: dict[str, str]) -> list[str]:
    """What is wrong in a store or its bin: reported and not there, refused and there, there twice, or damaged."""
    from rotary.errors import RotaryError
    from rotary.store.formats import profile_from_bytes
    from rotary.store.places import BIN, homes, versions

    bad: list[str] = []
    remarks: list[str] = []
    for place in (*homes(folder), *homes(folder / BIN)):
        for version in versions(Path(place.path)):
            name = f"{place.name}/{version.path.name}"
            try:
                found = profile_from_bytes(version.path.read_bytes(), name, place.name)
            except RotaryError as trouble:
                bad.append(f"{name}: {trouble}")
                continue
            if found.doubt or (name in told and found.profile.job.note != told[name]):
                bad.append(f"{name}: holds something else")
            remarks.append(found.profile.job.note)
    refused = {remark for name, remark in told.items() if name.startswith(REFUSED)}
    bad += [f"{remark}: stands {remarks.count(remark)} times" for remark in set(remarks) if remarks.count(remark) > 1]
    bad += [f"{remark}: was refused and stands" for remark in refused & set(remarks)]
    return bad + [f"{remark}: is missing" for remark in set(told.values()) - refused - set(remarks)]


def saves(told: dict[str, str]) -> int:
    """How many of them were reported as saved."""
    return sum(not name.startswith(REFUSED) for name in told)


def killed(kills: int, folder: Path) -> tuple[int, list[str]]:
    """Kill a saving child at a random moment, again and again; how many saves were reported, and what is wrong."""
    # Loaded before the children are made, so that they are killed while they save and not while they load.
    import rotary.store.profiles  # noqa: F401

    chance = random.Random(SEED)
    count, bad = 0, []
    for batch in range(-(-kills // 100)):
        store, told = folder / f"store{batch}", folder / f"told{batch}"
        for turn in range(min(100, kills - 100 * batch)):
            process = saving(store, f"turn {turn}", 60, told)
            time.sleep(chance.uniform(0.005, LONGEST_LIFE_S))
            process.kill()
            process.join()
        promised = reported(told.read_bytes()) if told.exists() else {}
        count += saves(promised)
        bad += lost(store, promised)
    return count, bad


CALLS = ("open", "write", "fsync", "link", "rename", "replace", "mkdir", "unlink")


@contextmanager
def failing(folder: Path, at: int, number: int) -> Iterator[list[int]]:
    """Let call number `at` of all that write into the folder fail with this error; a write leaves half of it."""
    count = [0]
    real: dict[str, Callable[..., Any]] = {name: getattr(os, name) for name in CALLS}
    handles: set[int] = set()

    def ours(arguments: tuple[Any, ...]) -> bool:
        first = arguments[0]
        return first in handles if isinstance(first, int) else str(folder) in str(first)

    def guarded(name: str) -> Callable[..., Any]:
        def call(*arguments: Any, **named: Any) -> Any:
            if ours(arguments):
                count[0] += 1
                if count[0] == at:
                    if name == "write" and len(arguments[1]) > 1:
                        real["write"](arguments[0], bytes(arguments[1])[: len(arguments[1]) // 2])
                    raise OSError(number, os.strerror(number), str(arguments[0]))
            answer = real[name](*arguments, **named)
            if name == "open" and str(folder) in str(arguments[0]):
                handles.add(answer)
            return answer

        return call

    try:
        for name in CALLS:
            setattr(os, name, guarded(name))
        yield count
    finally:
        for name, function in real.items():
            setattr(os, name, function)


def full_disk(folder: Path, number: int) -> tuple[int, int, list[str]]:
    """Fail at every call that writes, in turn, for a first and a later version; saves, refusals, what is wrong."""
    from rotary.errors import RotaryError
    from rotary.job import job_from_file
    from rotary.shipped import FIRST, examples
    from rotary.store.profiles import keep

    job = job_from_file(examples()[FIRST])
    told: dict[str, str] = {}
    refused = at = 0
    while True:
        at += 1
        home = folder / f"at{at}"
        done = True
        for part in ("first", "second"):
            with failing(home, at, number) as count:
                try:
                    saved = keep(job.model_copy(update={"note": f"{at} {part}"}), "Bottle", home)
                    told[f"at{at}/{saved.path.parent.name}/{saved.path.name}"] = f"{at} {part}"
                except RotaryError:
                    refused += 1
                    told[f"at{at}/{REFUSED} {part}"] = f"{at} {part}"
            done = done and count[0] < at
        # After the trouble is over the next save works, and everything is there.
        saved = keep(job.model_copy(update={"note": f"{at} after"}), "Bottle", home)
        told[f"at{at}/{saved.path.parent.name}/{saved.path.name}"] = f"{at} after"
        if done:
            break
    bad = []
    for store in sorted(folder.iterdir()):
        own = {name.split("/", 1)[1]: remark for name, remark in told.items() if name.startswith(store.name + "/")}
        bad += lost(store, own)
    return len(told) - refused, refused, bad


def many(writers: int, seconds: float, folder: Path, discards: bool = False) -> tuple[int, list[str]]:
    """So many processes that save into one profile at once; how many saves, and what is wrong.

    With `discards` another throws the profile away and takes it back all the while.
    """
    paths = [folder / f"told{number}" for number in range(writers)]
    processes = [saving(folder / "store", f"writer {n}", seconds, path) for n, path in enumerate(paths)]
    if discards:
        processes.append(started(discard_on_and_on, str(folder / "store"), time.time() + seconds))
    for process in processes:
        process.join()
    told: dict[str, str] = {}
    for path in paths:
        told |= reported(path.read_bytes())
    bad = [f"a writer ended with {process.exitcode}" for process in processes if process.exitcode]
    return saves(told), bad + lost(folder / "store", told)


def quick(profiles: int, folder: Path) -> dict[str, float]:
    """Times of a store of so many profiles: first scan [s], list [ms], search of a key [ms], nearest [ms]."""
    from rotary.item import Measurement
    from rotary.job import job_from_file
    from rotary.shipped import examples
    from rotary.store.index import entries, search
    from rotary.store.near_profiles import nearest
    from rotary.store.profile_names import folder_name, token
    from rotary.store.profile_text import profile_text
    from rotary.store.record import Profile, Proof, Record, author, now

    chance = random.Random(SEED)
    jobs = [job_from_file(path) for name, path in examples().items() if "nut" not in name]
    for number in range(profiles):
        job = chance.choice(jobs)
        length = job.item.measurements[-1].at_mm
        measurements = (
            Measurement(at_mm=0.0, across_mm=chance.uniform(20, 120)),
            Measurement(at_mm=length, across_mm=chance.uniform(20, 120)),
        )
        job = job.model_copy(update={"item": job.item.model_copy(update={"measurements": measurements})})
        proof = Proof(on=now(), job=job) if chance.random() < 0.5 else None
        record = Record(id=token(10), name=f"Item {number} {token(5)}", at=now(), by=author(), proof=proof)
        home = folder / folder_name(record.name, record.id)
        home.mkdir(parents=True)
        text = profile_text(Profile.model_construct(job=job, saved=record))
        (home / f"0001-{token(6)}.toml").write_text(text, "utf-8", newline="")
    time.sleep(2.5)
    start = time.perf_counter()
    entries(folder)
    first = time.perf_counter() - start
    lists = [_timed(lambda: entries(folder)) for _ in range(7)]
    everything = entries(folder)
    keys = [
        _timed(lambda text=text: search(everything, text, 40.0, 100.0)) for text in ("g", "gr", "green 4", "item 77 ")
    ]  # type: ignore[misc]
    near = [_timed(lambda: nearest(jobs[0].item, everything)) for _ in range(5)]
    return {"first scan s": first, "list ms": _middle(lists), "key ms": max(keys), "nearest ms": _middle(near)}


def _timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return 1e3 * (time.perf_counter() - start)


def _middle(times: list[float]) -> float:
    return sorted(times)[len(times) // 2]


def main() -> int:
    """Every trial, and a line for each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--profiles", type=int, default=10_000)
    asked = parser.parse_args()
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as name:
        base = Path(name)
        for folder in ("kills", "ENOSPC", "EIO", "quick"):
            (base / folder).mkdir()
        count, bad = killed(asked.kills, base / "kills")
        wrong += bad
        print(f"{asked.kills} kills: {count} versions reported as saved, {len(bad)} lost or damaged", flush=True)
        for kind in ("ENOSPC", "EIO"):
            count, refused, bad = full_disk(base / kind, getattr(errno, kind))
            wrong += bad
            print(f"{kind} at each call: {count} saved, {refused} refused, {len(bad)} lost or damaged", flush=True)
        for writers in (2, 8):
            for discards in (False, True):
                (place := base / f"{writers}{discards}").mkdir()
                count, bad = many(writers, asked.seconds, place, discards)
                wrong += bad
                who = f"{writers} writers{' and discards' if discards else ''}"
                print(f"{who}, {asked.seconds:g} s: {count} saved, {len(bad)} lost or damaged", flush=True)
        if asked.profiles:
            times = ", ".join(f"{key} {value:.1f}" for key, value in quick(asked.profiles, base / "quick").items())
            print(f"{asked.profiles} profiles: {times}", flush=True)
    for line in wrong[:20]:
        print(line)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
