"""A microphone and a loudspeaker without hardware: PulseAudio with two null sinks, started for the tests.

What is played into the sink "learner" comes out of the microphone; what a program plays by default goes to the
sink "tutor", where it can be recorded. Debian packages: pulseaudio, pulseaudio-utils.
"""

import os
import queue
import shutil
import subprocess
import tempfile
import threading
import time
import wave
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

LEARNER, TUTOR = "learner", "tutor"
NEEDED = ("pulseaudio", "pactl", "paplay", "parec")
PIPED = 16_000  # samples a second through a pipe: what the voices of flite have
STARTED_WITHIN = 10.0  # seconds
PROGRAMS = 80  # PulseAudio takes on 64 at a time


def lacking() -> str | None:
    """Which programs are not installed, in words; None when all are here."""
    absent = [name for name in NEEDED if shutil.which(name) is None]
    return f"not installed: {', '.join(absent)} (apt-get install pulseaudio pulseaudio-utils)" if absent else None


@dataclass(frozen=True)
class VirtualMicrophone:
    """A running sound server of its own; `environment` is what another process needs to use it."""

    environment: dict[str, str]

    def say(self, path: Path, wait: bool = True) -> subprocess.Popen[bytes]:
        """Play an audio file into the microphone."""
        playing = subprocess.Popen(["paplay", f"--device={LEARNER}", str(path)], env=os.environ | self.environment)
        if wait and playing.wait(60) != 0:
            raise RuntimeError(f"paplay could not play {path}")
        return playing

    def unplug(self) -> None:
        """Take everything away while it is in use, for good: the sound server ends."""
        self._control("exit")

    def hold_still(self, still: bool) -> None:
        """Let the microphone deliver nothing, as one that another program has taken away; or again."""
        self._control("suspend-sink", LEARNER, str(int(still)))

    @contextmanager
    def busy(self) -> Iterator[None]:
        """Other programs hold the sound, as many as it takes on."""
        command = ["parec", f"--device={TUTOR}.monitor", "--latency-msec=2000"]
        others = [
            subprocess.Popen(
                command, env=os.environ | self.environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
            )
            for _ in range(PROGRAMS)
        ]
        try:
            while all(other.poll() is None for other in others):  # until one of them is refused
                time.sleep(0.1)
            yield
        finally:
            for other in others:
                other.kill()
            for other in others:
                other.wait(10)

    def record_tutor(self, path: Path) -> subprocess.Popen[bytes]:
        """Record what is played to the loudspeaker into a WAV file until the process is terminated."""
        command = ["parec", f"--device={TUTOR}.monitor", "--file-format=wav", str(path)]
        return subprocess.Popen(command, env=os.environ | self.environment)

    def _control(self, *words: str) -> None:
        subprocess.run(["pactl", *words], env=os.environ | self.environment, check=True, timeout=10)


@contextmanager
def virtual_microphone() -> Iterator[VirtualMicrophone]:
    """Start a sound server and make it this process's; stop it at the end. Raises `RuntimeError` if it cannot."""
    sinks = [f"module-null-sink sink_name={name} rate=48000" for name in (LEARNER, TUTOR)]
    with _server(sinks) as own:
        for kind, name in (("sink", TUTOR), ("source", f"{LEARNER}.monitor")):
            subprocess.run(["pactl", f"set-default-{kind}", name], check=True, timeout=10)
        # a null sink swallows two seconds at once unless somebody listens to it closely
        closely = ["parec", f"--device={TUTOR}.monitor", "--latency-msec=20"]
        listener = subprocess.Popen(closely, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            yield VirtualMicrophone(own)
        finally:
            listener.terminate()
            listener.wait(10)


@contextmanager
def microphone_alone() -> Iterator["PipedMicrophone"]:
    """The same with a microphone and no loudspeaker: what is to be heard goes through a pipe."""
    with tempfile.TemporaryDirectory(prefix="pipe-") as folder:
        pipe = Path(folder) / "microphone"
        module = f"module-pipe-source source_name={LEARNER} file={pipe} format=s16le rate={PIPED} channels=1"
        with _server([module]) as own:
            microphone = PipedMicrophone(own, pipe)
            try:
                yield microphone
            finally:
                microphone.close()


class PipedMicrophone:
    """A microphone into which silence is written, or what is to be said, as fast as it is heard."""

    def __init__(self, environment: dict[str, str], pipe: Path) -> None:
        self.environment = environment
        self._said: queue.Queue[bytes] = queue.Queue()
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._write, args=(pipe,), daemon=True)
        self._thread.start()

    def say(self, path: Path, wait: bool = True) -> None:
        """Say a WAV file of its own rate, 16 bits, one channel, to its end."""
        with wave.open(str(path)) as file:
            assert (file.getframerate(), file.getsampwidth(), file.getnchannels()) == (PIPED, 2, 1)
            self._said.put(file.readframes(file.getnframes()))
            seconds = file.getnframes() / PIPED
        time.sleep(seconds if wait else 0)

    def _write(self, pipe: Path) -> None:
        piece, left, begun, written = PIPED // 50, b"", time.monotonic(), 0
        out = os.open(pipe, os.O_WRONLY | os.O_NONBLOCK)
        try:
            while not self._over.wait(max(0.0, begun + written / 50 - time.monotonic())):
                if not left and not self._said.empty():
                    left = self._said.get()
                try:
                    os.write(out, left[: 2 * piece].ljust(2 * piece, b"\0"))
                except BlockingIOError:  # nobody has recorded for two seconds: the pipe is full, and waits
                    self._over.wait(0.02)
                else:
                    left, written = left[2 * piece :], written + 1
        finally:
            os.close(out)

    def close(self) -> None:
        """Fall silent."""
        self._over.set()
        self._thread.join()


@contextmanager
def _server(modules: list[str]) -> Iterator[dict[str, str]]:
    """A sound server with these modules, and what another process needs to use it."""
    with tempfile.TemporaryDirectory(prefix="sound-") as folder:
        own = {"PULSE_SERVER": f"unix:{folder}/native", "PULSE_RUNTIME_PATH": folder, "PULSE_STATE_PATH": folder,
               "PULSE_COOKIE": f"{folder}/cookie"}  # fmt: skip
        loads = (f"module-native-protocol-unix auth-anonymous=1 socket={folder}/native", *modules)
        command = ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--log-level=error",
                   *(f"--load={one}" for one in loads)]  # fmt: skip
        server = subprocess.Popen(command, env=os.environ | own, stderr=subprocess.DEVNULL)
        before = {name: os.environ.get(name) for name in own}
        os.environ.update(own)
        try:
            _when_ready(server)
            yield own
        finally:
            for name, value in before.items():
                if value is None:
                    del os.environ[name]
                else:
                    os.environ[name] = value
            server.terminate()
            server.wait(10)


def _when_ready(server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + STARTED_WITHIN
    while time.monotonic() < until:
        if server.poll() is not None:
            raise RuntimeError("pulseaudio ended at once: run it by hand to see why")
        told = subprocess.run(["pactl", "info"], capture_output=True, timeout=10, check=False)
        if told.returncode == 0:
            return
        time.sleep(0.1)
    raise RuntimeError("pulseaudio did not answer in time")
