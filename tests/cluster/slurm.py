"""A real Slurm of two nodes on this host, on the loopback address alone, all in one folder."""

import contextlib
import getpass
import os
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psutil

PROGRAMS = ("munged", "slurmctld", "slurmd")
NODES = ("n1", "n2")
# Nodes of one core each. A node is given up soon after its death.
CONFIG = """ClusterName={name}
SlurmctldHost={host}(127.0.0.1)
SlurmctldPort={control}
CommunicationParameters=NoCtldInAddrAny,NoInAddrAny
SlurmUser={user}
SlurmdUser={user}
AuthInfo=socket={folder}/munge.socket
StateSaveLocation={folder}/state
SlurmdSpoolDir={folder}/spool-%n
SlurmctldPidFile={folder}/slurmctld.pid
SlurmdPidFile={folder}/slurmd-%n.pid
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
MpiDefault=none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
SlurmdTimeout=5
ReturnToService=2
NodeName=n1 NodeHostname={host} NodeAddr=127.0.0.1 Port={n1} CPUs=1
NodeName=n2 NodeHostname={host} NodeAddr=127.0.0.1 Port={n2} CPUs=1
PartitionName=day Nodes=n1,n2 Default=YES MaxTime=120 State=UP
PartitionName=night Nodes=n1,n2 State=DOWN
"""
# What Slurm starts on a node has lost the name of its configuration.
SRUN = '#!/bin/sh\nSLURM_CONF={folder}/slurm.conf exec {srun} "$@"\n'
# Of what is waited for, on a slow machine.
LONGEST_S = 600
TO_BEGIN_S = 120
PATH = f"{os.environ['PATH']}:/usr/sbin:/sbin"


def missing() -> list[str]:
    """The programs that are not installed."""
    return [name for name in PROGRAMS if shutil.which(name, path=PATH) is None]


class NoSlurm(Exception):
    """It is installed and does not begin here."""


class Slurm:
    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._name = f"bench{os.getpid()}"
        self._started: dict[str, subprocess.Popen[bytes]] = {}
        self.environment = {
            "PATH": f"{folder}/bin:{PATH}",
            "SLURM_CONF": f"{folder}/slurm.conf",
        }

    def begin(self) -> None:
        folder = self._folder
        for name in ("state", "bin"):
            (folder / name).mkdir()
        srun = folder / "bin" / "srun"
        srun.write_text(SRUN.format(folder=folder, srun=shutil.which("srun")))
        srun.chmod(0o755)
        control, n1, n2 = _free_ports(3)
        host, user = socket.gethostname().partition(".")[0], getpass.getuser()
        config = CONFIG.format(
            name=self._name, folder=folder, host=host, user=user, control=control, n1=n1, n2=n2
        )
        (folder / "slurm.conf").write_text(config)
        key = folder / "munge.key"
        key.write_bytes(os.urandom(1024))
        key.chmod(0o400)
        files = [f"--{name}-file={folder}/munge.{name}" for name in ("key", "pid", "seed", "log")]
        socket_ = f"--socket={folder}/munge.socket"
        self._start("munged", "--foreground", "--num-threads=2", socket_, *files)
        self._await((folder / "munge.socket").exists)
        self._start("slurmctld", "-D", "-i")
        for node in NODES:
            self.begin_node(node)
        nodes = ("sinfo", "--noheader", "--Node", "--partition=day", "--format=%T")
        self._await(lambda: self.say(*nodes).split() == ["idle", "idle"])

    def _await(self, has_begun: Callable[[], object]) -> None:
        """Raises NoSlurm, with what its programs say, where it does not begin on this machine."""
        try:
            until(has_begun, TO_BEGIN_S)
        except AssertionError:
            said = [path.read_text(errors="replace")[-500:] for path in self._folder.glob("*.out")]
            raise NoSlurm("\n".join(said)) from None

    def begin_node(self, node: str) -> None:
        self._start("slurmd", "-D", "-N", node, name=node)

    def kill_node(self, node: str) -> None:
        """All at once, with what it runs, as when its power goes."""
        for process in [*self._processes(node)]:
            with contextlib.suppress(psutil.Error):
                process.kill()
        self._started.pop(node).wait()

    def say(self, *words: str) -> str:
        """What a command of Slurm's says."""
        environment = os.environ | self.environment
        done = subprocess.run(words, env=environment, capture_output=True, text=True, check=False)
        return done.stdout

    def jobs(self, *options: str) -> list[str]:
        """The numbers of those that are not done, in the partition that is open."""
        return self.say("squeue", "--noheader", "--partition=day", "--format=%i", *options).split()

    def end(self) -> None:
        self.say("scancel", f"--user={getpass.getuser()}")
        for node in self._started.keys() & set(NODES):
            self.kill_node(node)
        for process in self._started.values():
            process.terminate()
            process.wait(60)

    def _start(self, program: str, *options: str, name: str = "") -> None:
        path = shutil.which(program, path=PATH)
        assert path is not None
        with (self._folder / f"{name or program}.out").open("ab") as said:
            self._started[name or program] = subprocess.Popen(
                [path, *options],
                env=os.environ | self.environment,
                stdout=said,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )

    def _processes(self, node: str) -> Iterator[psutil.Process]:
        """Of a node: its own, those of its jobs, and those that watch over these."""
        own = self._started[node].pid
        for process in psutil.process_iter():
            with contextlib.suppress(psutil.Error):
                told = process.environ()
                of_job = (told.get("SLURM_CLUSTER_NAME"), told.get("SLURMD_NODENAME"))
                if process.pid == own or of_job == (self._name, node):
                    yield process
                    # They have no environment.
                    yield from (each for each in process.parents() if each.name() == "slurmstepd")


@contextlib.contextmanager
def started() -> Iterator[Slurm]:
    """One that ends with the block. Not in a folder of the tests' own, for munged serves from none
    that others may not enter."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        slurm = Slurm(folder)
        try:
            slurm.begin()
            yield slurm
        finally:
            slurm.end()


def until(is_so: Callable[[], object], longest_s: float = LONGEST_S) -> None:
    """Wait for it; fail where it does not come about."""
    end = time.monotonic() + longest_s
    while not is_so():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.2)


def _free_ports(count: int) -> list[int]:
    with contextlib.ExitStack() as stack:
        sockets = [stack.enter_context(socket.socket()) for _ in range(count)]
        for each in sockets:
            each.bind(("127.0.0.1", 0))
        return [each.getsockname()[1] for each in sockets]
