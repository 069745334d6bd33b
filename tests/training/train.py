"""Trains the tagger: three teachers on the labelled turns, and a student on the labels and on what they say.

    PYTHONPATH=.:tests python tests/training/train.py FOLDER OUT

FOLDER holds rows.json (align.py), base.safetensors and vocabulary.txt (cut_vocabulary.py) and teacher_base.safetensors
(teacher_network.py). Eleven minutes on one GPU (NVIDIA H200); without one ``train_further.py`` is the way. Nothing of
the tests trains: they compare the file with its card.
"""

import argparse
import json
import math
import random
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import torch
from torch import Tensor, nn
from torch.nn import functional

from training import tagger_network, teacher_network
from training.batches import SIZE, Batch, epochs
from training.export import export, from_onnx
from training.teacher_network import Teacher
from training.variation import Row

WEIGHT = {"bio": 1.0, "op": 0.6, "sides": 0.6, "sub": 0.8, "neg": 0.4, "arg": 1.0}  # of each head in the loss
SMOOTHING = 0.01
FROM_LABELS, FROM_TEACHERS = 0.1, 2.0
AVERAGED_FROM, STUDENT_AVERAGED_FROM = 0.6, 0.7  # of the steps; the weights after that are averaged
TEACHERS = {3: (1e-4, 8.0), 4: (1.4e-4, 6.0), 5: (8e-5, 10.0)}  # seed: learning rate, times as fast above the encoder
STUDENTS = {98: (3e-4, 6.0, 0.3), 99: (3e-4, 6.0, 0.0)}  # likewise, and how much a topic counts; one is kept
GOING_ON = 1.0  # of its rate, where a student goes on from weights that are trained
OF_NOTHING = 0.25  # the weight of a turn that asks nothing, as most do, beside one that asks
TAUGHT_SEED, TAUGHT, MOVED = 98, 12, 0.2  # variations of all turns that teachers tag; share after another's question
TAUGHT_SIZE = 384  # rows a batch, for a student: what a step costs is hardly its rows


Heads = Mapping[str, Sequence[str]]


class Taught(NamedTuple):
    """A batch on the device, with what the teachers say together of each word: batch, words, probabilities."""

    inputs: list[Tensor]
    tags: dict[str, Tensor]
    weight: Tensor
    said: Tensor
    topic: Tensor


def parts(heads: Heads) -> Iterator[tuple[str, slice]]:
    """Where each head's scores stand."""
    at = 0
    for head, names in heads.items():
        yield head, slice(at, at + len(names))
        at += len(names)


def by_labels(scores: Tensor, tags: Mapping[str, Tensor], weight: Tensor, heads: Heads) -> Tensor:
    """Cross entropy of every head; a turn counts by the square root of its words."""
    total = torch.zeros((), device=scores.device)
    for head, part in parts(heads):
        mine = scores[:, :, part]
        loss = functional.cross_entropy(
            mine.reshape(-1, mine.shape[-1]), tags[head].reshape(-1), ignore_index=-100, reduction="none",
            label_smoothing=SMOOTHING,
        ).view(tags[head].shape)  # fmt: skip
        counted = (tags[head] != -100).float()
        turn = (loss * counted).sum(1) / counted.sum(1).clamp(min=1).sqrt() / 2
        total = total + WEIGHT[head] * (turn * weight).mean()
    return total


def by_teachers(scores: Tensor, said: Tensor, words: Tensor, heads: Heads) -> Tensor:
    """How far the student is from what its teachers say (Hinton, Vinyals and Dean 2015, arXiv 1503.02531)."""
    total = torch.zeros((), device=scores.device)
    for head, part in parts(heads):
        mine, theirs = functional.log_softmax(scores[:, :, part], -1), said[:, :, part]
        apart = (theirs * (theirs.clamp(min=1e-8).log() - mine)).sum(-1)
        total = total + WEIGHT[head] * (apart * words).sum(1).div(words.sum(1).clamp(min=1).sqrt()).mean() / 2
    return total


def by_topics(scores: Tensor, topic: Tensor) -> Tensor:
    """Cross entropy of what is asked, of the turns of which it is known."""
    known, nothing = topic >= 0, topic == 0
    share = torch.where(nothing, OF_NOTHING, 1.0) * known
    loss = functional.cross_entropy(scores, topic, ignore_index=-100, reduction="none")
    return (loss * share).sum() / share.sum().clamp(min=1)


class Descent:
    """Steps down the loss: the encoder at one rate, the layer on it at another; both rise shortly, then fall. From a
    share of the steps on, at every few, the weights are averaged."""

    def __init__(
        self,
        tagger: nn.Module,
        rate: float,
        above: float,
        steps: int,
        averaged_from: float,
        every: int = 5,
        seconds: float = math.inf,
    ) -> None:
        self.tagger, self.every, self.averaged_from = tagger, every, averaged_from
        self.averaged: dict[str, Tensor] = {}
        self.steps, self.seconds, self.began = steps, seconds, time.monotonic()
        self.taken = 0
        named = list(tagger.named_parameters())
        groups = [
            {"params": [each for name, each in named if name.startswith("enc") is inside], "lr": its}
            for inside, its in ((True, rate), (False, rate * above))
        ]
        self.optimiser = torch.optim.AdamW(groups, weight_decay=0.02, fused=True)
        self.schedule = torch.optim.lr_scheduler.LambdaLR(
            self.optimiser, lambda step: min(1.0, (step + 1) / (0.06 * steps)) * max(0.02, 1 - self.progress())
        )

    def progress(self) -> float:
        """The share of the steps, or of the seconds, that is over."""
        return max(self.taken / self.steps, (time.monotonic() - self.began) / self.seconds)

    def run(self, name: str, epochs: Iterable[Sequence[Any]], loss: Callable[[Any], Tensor]) -> None:
        """All steps of all epochs, by the loss of each batch; then the averaged weights are the tagger's."""
        for epoch, found in enumerate(epochs):
            self.tagger.train()
            total = sum((self._step(loss(one)) for one in found), torch.zeros(()))
            print(
                f"{name} epoch {epoch} loss {total / len(found):.4f}, {time.monotonic() - self.began:.0f} s", flush=True
            )
            if self.progress() >= 1:
                break
        self.tagger.load_state_dict(self.averaged or self.tagger.state_dict())
        self.tagger.eval()

    def _step(self, loss: Tensor) -> Tensor:
        self.optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self.tagger.parameters(), 1.0)
        self.optimiser.step()
        self.schedule.step()
        self.taken += 1
        if self.progress() > self.averaged_from and self.taken % self.every == 0:
            self._average()
        return loss.detach()

    @torch.no_grad()
    def _average(self) -> None:
        for name, value in self.tagger.state_dict().items():
            if name in self.averaged:
                self.averaged[name].mul_(0.98).add_(value, alpha=0.02)
            else:
                self.averaged[name] = value.detach().clone()


class Training:
    """What all of them train on."""

    def __init__(self, folder: Path, device: str) -> None:
        data = json.loads((folder / "rows.json").read_text("utf-8"))
        self.heads: Heads = data["heads"]
        self.rows = data["rows"]
        self.topics = len(data["topics"])
        self.folder, self.device = folder, device
        self.pieces = [piece for piece in (folder / "vocabulary.txt").read_text("utf-8").split("\n") if piece]

    def batches(
        self, rows: list[Row], seed: int, count: int, workers: int, moved: float = 0.0, size: int = SIZE
    ) -> Iterator[list[Batch]]:
        """The batches of each variation of the rows."""
        acts = (len(self.heads["bio"]) - 1) // 2
        return epochs(rows, self.pieces, list(self.heads), acts, seed, count, workers, moved, size)

    def on_device(self, batch: Batch) -> tuple[list[Tensor], dict[str, Tensor], Tensor]:
        """Inputs, tags and weights."""
        inputs = [torch.as_tensor(array, device=self.device) for array in batch[:4]]
        tags = {head: torch.as_tensor(array, device=self.device) for head, array in batch.tags.items()}
        return inputs, tags, torch.as_tensor(batch.weight, device=self.device)

    def fast(self) -> torch.autocast:
        """Half precision on a GPU."""
        return torch.autocast("cuda", dtype=torch.bfloat16, enabled=self.device == "cuda")

    def scores(self, tagger: nn.Module, inputs: Sequence[Tensor]) -> Tensor:
        """Of every tag."""
        with self.fast():
            found: Tensor = tagger(*inputs)
        return found.float()

    def teacher(self, seed: int, count: int, workers: int) -> Teacher:
        """One teacher, by the labels alone."""
        torch.manual_seed(seed)
        rate, above = TEACHERS[seed]
        teacher = teacher_network.with_base(str(self.folder / "teacher_base.safetensors"), self.heads).to(self.device)
        labelled = [row for row in self.rows if row["weight"]]
        steps = count * (int(len(labelled) * 1.1) // SIZE + 1)
        descent = Descent(teacher, rate, above, steps, AVERAGED_FROM)

        def loss(batch: Batch) -> Tensor:
            inputs, tags, weight = self.on_device(batch)
            return by_labels(self.scores(teacher, inputs), tags, weight, self.heads)

        descent.run(f"teacher {seed}", self.batches(labelled, seed, count, workers), loss)
        return teacher

    @torch.no_grad()
    def taught(self, workers: int) -> list[list[Taught]]:
        """Some variations of all turns, tagged by the teachers together."""
        teachers = []
        for seed in TEACHERS:
            teacher = Teacher(len(self.pieces), self.heads)
            teacher.load_state_dict(torch.load(self.folder / f"teacher{seed}.pt"))
            teachers.append(teacher.to(self.device).eval())
        found: list[list[Taught]] = []
        for batches in self.batches(self.rows, TAUGHT_SEED, TAUGHT, workers, MOVED, TAUGHT_SIZE):
            mine = []
            for batch in batches:
                inputs, tags, weight = self.on_device(batch)
                scores = [self.scores(teacher, inputs) for teacher in teachers]
                said = [
                    torch.stack([functional.softmax(one[:, :, part], -1) for one in scores]).mean(0)
                    for _, part in parts(self.heads)
                ]
                topic = torch.as_tensor(batch.topic, device=self.device)
                mine.append(Taught(inputs, tags, weight, torch.cat(said, -1).half(), topic))
            found.append(mine)
        return found

    def student(
        self, seed: int, taught: Sequence[list[Taught]], count: int, seconds: float, begin: Path | None
    ) -> tagger_network.Tagger:
        """A tagger to be shipped: long, on the same variations again and again (Beyer and others 2022, "Knowledge
        distillation: a good teacher is patient and consistent", arXiv 2106.05237; cited from memory). ``begin``: a
        tagger's file whose weights it goes on from."""
        torch.manual_seed(seed)
        chance = random.Random(seed)
        rate, above, asking = STUDENTS[seed]
        base = str(self.folder / "base.safetensors")
        student = tagger_network.with_base(base, self.heads, self.topics)
        if begin is not None:
            from_onnx(begin, student)
            rate *= GOING_ON
        student = student.to(self.device)
        descent = Descent(student, rate, above, count * len(taught[0]), STUDENT_AVERAGED_FROM, seconds=seconds)

        def loss(one: Taught) -> Tensor:
            with self.fast():
                scores, topics = (found.float() for found in student.with_topics(*one.inputs))
            told = by_teachers(scores, one.said.float(), (one.inputs[3] > 0).float(), self.heads)
            labelled = by_labels(scores, one.tags, one.weight, self.heads)
            return FROM_LABELS * labelled + FROM_TEACHERS * told + asking * by_topics(topics, one.topic)

        def shuffled() -> Iterator[list[Taught]]:
            for epoch in range(count):
                found = list(taught[epoch % len(taught)])
                chance.shuffle(found)
                yield found

        descent.run(f"student {seed}", shuffled(), loss)
        return student


def main() -> None:
    """Trains the teachers side by side, has them tag, then trains the students side by side."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--epochs", type=int, default=12)
    parser.add_argument("--student-epochs", type=int, default=60)
    parser.add_argument("--begin", type=Path, help="a tagger.onnx that the students go on from")
    parser.add_argument("--seconds", type=float, default=math.inf, help="the most for a student")
    parser.add_argument("--part", choices=("teachers", "taught", "students"), help="this part only")
    parser.add_argument("--teacher", type=int, choices=sorted(TEACHERS), help="this teacher only")
    parser.add_argument("--student", type=int, choices=sorted(STUDENTS), help="this student only")
    chosen = parser.parse_args()
    chosen.out.mkdir(parents=True, exist_ok=True)
    if chosen.teacher:
        teacher = _training(chosen.folder).teacher(chosen.teacher, chosen.epochs, 5)
        torch.save(teacher.state_dict(), chosen.folder / f"teacher{chosen.teacher}.pt")
    if chosen.student:
        training = _training(chosen.folder)
        taught = torch.load(chosen.folder / "taught.pt", weights_only=False, map_location=training.device)
        student = training.student(chosen.student, taught, chosen.student_epochs, chosen.seconds, chosen.begin)
        export(student, chosen.out / f"tagger_{chosen.student}.onnx")
    if chosen.teacher or chosen.student:
        return
    if chosen.part in {None, "teachers"}:
        _side_by_side("--teacher", TEACHERS)
    if chosen.part in {None, "taught"}:
        torch.save(_training(chosen.folder).taught(14), chosen.folder / "taught.pt")
    if chosen.part in {None, "students"}:
        _side_by_side("--student", STUDENTS)


def _training(folder: Path) -> Training:
    return Training(folder, "cuda" if torch.cuda.is_available() else "cpu")


def _side_by_side(option: str, seeds: Iterable[int]) -> None:
    running = [subprocess.Popen([sys.executable, *sys.argv, option, str(seed)]) for seed in seeds]
    ended = [process.wait() for process in running]
    if any(ended):
        sys.exit(f"{option} failed")


if __name__ == "__main__":
    main()
