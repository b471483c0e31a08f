"""One run at a time over the same results, and its shares under its lock.

Snakemake's own lock is a file that stays when a run is killed, and then nothing runs until it is
removed by hand. This one is held by the process itself and ends with it, however it ends. Shares
that a run sent to other hosts end soon after it, and until then no other run begins.
"""

import os
import secrets
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.running.machine import told
from strapline.running.signs import Beats, Sign, Who, beating, end_at_once, holder, living, oneself

FILE_NAME = ".run"
# Which run's lock a share works under: handed on to all that a run starts, also by Slurm.
TOKEN = "STRAPLINE_LOCK"
NO_MORE = "The run that sent this share has ended, so the share ends too; its step is done again."


def hold(results: Path) -> Sign:
    """The lock on `results`, held until what is returned is closed, or the process ends.

    Raises DocumentError if another run holds it, or shares of one are at work, or the folder cannot
    be written.
    """
    path = results / FILE_NAME
    own = oneself(secrets.token_hex(8))
    if other := beating([path]):
        raise DocumentError(_busy(results, other[path]))
    try:
        results.mkdir(parents=True, exist_ok=True)
        lock = Sign(path)
        # By this, shares of an earlier run see that they are nobody's any more.
        lock.write(own)
    except BlockingIOError:
        raise DocumentError(_busy(results, holder(path))) from None
    except OSError as error:
        raise DocumentError(f"{results}: {told(error) or error}") from None
    if sentence := _of_shares(results):
        lock.close()
        raise DocumentError(f"{sentence} This run has changed nothing.")
    for left in _signs_of_shares(results):
        left.unlink(missing_ok=True)
    os.environ[TOKEN] = own.token
    lost = f"Another run has taken over {results} while this one was silent, so this one ends."
    lock.keep(own, lambda: (holder(path) or own).token == own.token, lambda: end_at_once(lost))
    return lock


def hold_share(results: Path, share: str) -> Sign:
    """The sign of a share, which it keeps for as long as the lock of its run stands.

    Raises DocumentError if that stands no more, or the same share is still at work elsewhere, or
    the sign cannot be written.
    """
    path = results / f"{FILE_NAME}-{share}"
    own = oneself(os.environ.get(TOKEN, ""))
    if other := living([path]):
        raise DocumentError(f"This share is at work already: {other[path].told}.")
    try:
        sign = Sign(path)
        sign.write(own)
    except OSError as error:
        raise DocumentError(f"{path}: {told(error) or error}") from None
    run = Beats(results / FILE_NAME, own.token)
    if not run.go_on():
        sign.remove()
        raise DocumentError(NO_MORE)
    sign.keep(own, run.go_on, lambda: end_at_once(NO_MORE, leaving=path))
    return sign


def must_be_at_rest(results: Path) -> None:
    """Raises DocumentError while a run is at work in `results`: what is half made there would
    look like a mistake."""
    path = results / FILE_NAME
    if other := living([path]):
        sentence = f"A run is at work in {results} ({other[path].told}). Wait until it is done,"
        raise DocumentError(f"{sentence} and type the command again.")
    if sentence := _of_shares(results):
        raise DocumentError(sentence)


def _signs_of_shares(results: Path) -> list[Path]:
    return sorted(path for path in results.glob(f"{FILE_NAME}-*") if holder(path))


def _of_shares(results: Path) -> str:
    """What is said of those that are at work, if any."""
    at_work = living(_signs_of_shares(results))
    if not at_work:
        return ""
    shares = [f"{path.name.partition('-')[2]} ({who.told})" for path, who in at_work.items()]
    jobs = " ".join(who.job for who in at_work.values() if who.job)
    cancel = f", or type `scancel {jobs}`" if jobs else ""
    return (
        f"Shares of a run that has ended are still at work in {results}: "
        f"{', '.join(shares)}. Wait a minute until they end by themselves{cancel}."
    )


def _busy(results: Path, other: Who | None) -> str:
    told_of = f" ({other.told})" if other else ""
    return (
        f"Another run is at work in {results}{told_of}. Wait until it is done; this one has "
        "changed nothing."
    )
