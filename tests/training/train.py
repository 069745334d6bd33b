"""Trains the tagger: three teachers on the labelled turns, and a student on the labels and on what they say.

    PYTHONPATH=.:tests python tests/training/train.py FOLDER OUT

FOLDER holds rows.json (align.py), base.safetensors and vocabulary.txt (cut_vocabulary.py) and teacher_base.safetensors
(teacher_network.py). Eleven minutes on one GPU (NVIDIA H200); without one ``train_further.py`` is the way. Nothing of
the tests trains: they compare the file with its card.
"""

import argparse
import json
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
from training.export import export
from training.teacher_network import Teacher

WEIGHT = {"bio": 1.0, "op": 0.6, "sides": 0.6, "sub": 0.8, "neg": 0.4, "arg": 1.0}  # of each head in the loss
SMOOTHING = 0.01
FROM_LABELS, FROM_TEACHERS = 0.1, 2.0
AVERAGED_FROM, STUDENT_AVERAGED_FROM = 0.6, 0.7  # of the steps; the weights after that are averaged
TEACHERS = {3: (1e-4, 8.0), 4: (1.4e-4, 6.0), 5: (8e-5, 10.0)}  # seed: learning rate, times as fast above the encoder
STUDENT_SEED, STUDENT_RATE, STUDENT_ABOVE = 98, 3e-4, 6.0
TAUGHT, MOVED = 7, 0.2  # variations of all turns that the teachers tag; share put after another turn's question

Heads = Mapping[str, Sequence[str]]


class Taught(NamedTuple):
    """A batch on the device, with what the teachers say together of each word: batch, words, probabilities."""

    inputs: list[Tensor]
    tags: dict[str, Tensor]
    weight: Tensor
    said: Tensor


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


class Descent:
    """Steps down the loss: the encoder at one rate, the layer on it at another; both rise shortly, then fall. From a
    share of the steps on, at every few, the weights are averaged."""

    def __init__(
        self, tagger: nn.Module, rate: float, above: float, steps: int, averaged_from: float, every: int = 5
    ) -> None:
        self.tagger, self.every, self.averaged_from = tagger, every, averaged_from * steps
        self.averaged: dict[str, Tensor] = {}
        self.taken = 0
        named = list(tagger.named_parameters())
        groups = [
            {"params": [each for name, each in named if name.startswith("enc") is inside], "lr": its}
            for inside, its in ((True, rate), (False, rate * above))
        ]
        self.optimiser = torch.optim.AdamW(groups, weight_decay=0.02, fused=True)
        self.schedule = torch.optim.lr_scheduler.LambdaLR(
            self.optimiser, lambda step: min(1.0, (step + 1) / (0.06 * steps)) * max(0.02, 1 - step / steps)
        )

    def run(self, name: str, epochs: Iterable[Sequence[Any]], loss: Callable[[Any], Tensor]) -> None:
        """All steps of all epochs, by the loss of each batch; then the averaged weights are the tagger's."""
        began = time.monotonic()
        for epoch, found in enumerate(epochs):
            self.tagger.train()
            total = sum((self._step(loss(one)) for one in found), torch.zeros(()))
            print(f"{name} epoch {epoch} loss {total / len(found):.4f}, {time.monotonic() - began:.0f} s", flush=True)
        self.tagger.load_state_dict(self.averaged or self.tagger.state_dict())
        self.tagger.eval()

    def _step(self, loss: Tensor) -> Tensor:
        self.optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self.tagger.parameters(), 1.0)
        self.optimiser.step()
        self.schedule.step()
        self.taken += 1
        if self.taken > self.averaged_from and self.taken % self.every == 0:
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
        self.folder, self.device = folder, device
        self.pieces = [piece for piece in (folder / "vocabulary.txt").read_text("utf-8").split("\n") if piece]

    def batches(self, seed: int, count: int, workers: int, moved: float = 0.0) -> Iterator[list[Batch]]:
        """The batches of each variation of the rows."""
        acts = (len(self.heads["bio"]) - 1) // 2
        return epochs(self.rows, self.pieces, list(self.heads), acts, seed, count, workers, moved)

    def steps(self, count: int) -> int:
        """About how many there are in so many epochs."""
        return count * (int(len(self.rows) * 1.1) // SIZE + 1)

    def on_device(self, batch: Batch) -> tuple[list[Tensor], dict[str, Tensor], Tensor]:
        """Inputs, tags and weights."""
        inputs = [torch.as_tensor(array, device=self.device) for array in batch[:4]]
        tags = {head: torch.as_tensor(array, device=self.device) for head, array in batch.tags.items()}
        return inputs, tags, torch.as_tensor(batch.weight, device=self.device)

    def scores(self, tagger: nn.Module, inputs: Sequence[Tensor]) -> Tensor:
        """In half precision on a GPU."""
        with torch.autocast("cuda", dtype=torch.bfloat16, enabled=self.device == "cuda"):
            found: Tensor = tagger(*inputs)
        return found.float()

    def teacher(self, seed: int, count: int, workers: int) -> Teacher:
        """One teacher, by the labels alone."""
        torch.manual_seed(seed)
        rate, above = TEACHERS[seed]
        teacher = teacher_network.with_base(str(self.folder / "teacher_base.safetensors"), self.heads).to(self.device)
        descent = Descent(teacher, rate, above, self.steps(count), AVERAGED_FROM)

        def loss(batch: Batch) -> Tensor:
            inputs, tags, weight = self.on_device(batch)
            return by_labels(self.scores(teacher, inputs), tags, weight, self.heads)

        descent.run(f"teacher {seed}", self.batches(seed, count, workers), loss)
        return teacher

    @torch.no_grad()
    def taught(self, teachers: Sequence[Teacher], workers: int) -> list[list[Taught]]:
        """Some variations of all turns, tagged by the teachers together."""
        found: list[list[Taught]] = []
        for batches in self.batches(STUDENT_SEED, TAUGHT, workers, MOVED):
            mine = []
            for batch in batches:
                inputs, tags, weight = self.on_device(batch)
                scores = [self.scores(teacher, inputs) for teacher in teachers]
                said = [
                    torch.stack([functional.softmax(one[:, :, part], -1) for one in scores]).mean(0)
                    for _, part in parts(self.heads)
                ]
                mine.append(Taught(inputs, tags, weight, torch.cat(said, -1).half()))
            found.append(mine)
        return found

    def student(self, taught: Sequence[list[Taught]], count: int) -> tagger_network.Tagger:
        """The tagger that is shipped: long, on the same variations again and again (Beyer and others 2022, "Knowledge
        distillation: a good teacher is patient and consistent", arXiv 2106.05237; cited from memory)."""
        torch.manual_seed(STUDENT_SEED)
        chance = random.Random(STUDENT_SEED)
        student = tagger_network.with_base(str(self.folder / "base.safetensors"), self.heads).to(self.device)
        descent = Descent(student, STUDENT_RATE, STUDENT_ABOVE, count * len(taught[0]), STUDENT_AVERAGED_FROM)

        def loss(one: Taught) -> Tensor:
            scores = self.scores(student, one.inputs)
            told = by_teachers(scores, one.said.float(), (one.inputs[3] > 0).float(), self.heads)
            labelled = by_labels(scores, one.tags, one.weight, self.heads)
            return FROM_LABELS * labelled + FROM_TEACHERS * told

        def shuffled() -> Iterator[list[Taught]]:
            for epoch in range(count):
                found = list(taught[epoch % len(taught)])
                chance.shuffle(found)
                yield found

        descent.run("student", shuffled(), loss)
        return student


def main() -> None:
    """Trains the teachers side by side, then the student."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--teacher", type=int, default=0, help="train this one only")
    parser.add_argument("--epochs", type=int, default=12)
    parser.add_argument("--student-epochs", type=int, default=40)
    chosen = parser.parse_args()
    training = Training(chosen.folder, "cuda" if torch.cuda.is_available() else "cpu")
    chosen.out.mkdir(parents=True, exist_ok=True)
    if chosen.teacher:
        teacher = training.teacher(chosen.teacher, chosen.epochs, 5)
        torch.save(teacher.state_dict(), chosen.folder / f"teacher{chosen.teacher}.pt")
        return
    begin = [sys.executable, __file__, str(chosen.folder), str(chosen.out), "--epochs", str(chosen.epochs)]
    running = [subprocess.Popen([*begin, "--teacher", str(seed)]) for seed in TEACHERS]
    ended = [process.wait() for process in running]
    if any(ended):
        sys.exit("a teacher failed")
    teachers = []
    for seed in TEACHERS:
        teacher = Teacher(len(training.pieces), training.heads)
        teacher.load_state_dict(torch.load(chosen.folder / f"teacher{seed}.pt"))
        teachers.append(teacher.to(training.device).eval())
    export(training.student(training.taught(teachers, 12), chosen.student_epochs), chosen.out / "tagger.onnx")


if __name__ == "__main__":
    main()
