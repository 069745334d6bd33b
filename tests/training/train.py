"""Trains the tagger: two teachers on the labelled turns, and a student on the labels and on what they say.

    PYTHONPATH=.:tests python tests/training/train.py FOLDER OUT

FOLDER holds rows.json (align.py), base.safetensors and vocabulary.txt (cut_vocabulary.py). Five minutes on one GPU
(NVIDIA H200), some hours on two cores. Nothing of the tests trains: they compare the file with its card.
"""

import argparse
import json
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

import torch
from torch import Tensor
from torch.nn import functional

from training.batches import SIZE, epochs
from training.export import export
from training.tagger_network import Tagger, with_base

WEIGHT = {"bio": 1.0, "op": 0.6, "sides": 0.6, "sub": 0.8, "neg": 0.4, "arg": 1.0}  # of each head in the loss
SMOOTHING = 0.01
FROM_LABELS, FROM_TEACHERS = 0.5, 2.0
AVERAGED_FROM = 0.6  # of the steps; the weights after that are averaged
TEACHERS = {1: 2e-4, 2: 3e-4}  # seed: learning rate
STUDENT_SEED, STUDENT_RATE = 99, 2e-4

Heads = Mapping[str, Sequence[str]]


def by_labels(scores: Tensor, tags: Mapping[str, Tensor], weight: Tensor, heads: Heads) -> Tensor:
    """Cross entropy of every head; a turn counts by the square root of its words."""
    total = torch.zeros((), device=scores.device)
    at = 0
    for head, names in heads.items():
        mine = scores[:, :, at : at + len(names)]
        at += len(names)
        loss = functional.cross_entropy(
            mine.reshape(-1, len(names)), tags[head].reshape(-1), ignore_index=-100, reduction="none",
            label_smoothing=SMOOTHING,
        ).view(tags[head].shape)  # fmt: skip
        counted = (tags[head] != -100).float()
        turn = (loss * counted).sum(1) / counted.sum(1).clamp(min=1).sqrt() / 2
        total = total + WEIGHT[head] * (turn * weight).mean()
    return total


def by_teachers(scores: Tensor, taught: Sequence[Tensor], words: Tensor, heads: Heads) -> Tensor:
    """How far the student is from what its teachers say together (Hinton, Vinyals and Dean 2015, arXiv 1503.02531)."""
    total = torch.zeros((), device=scores.device)
    at = 0
    for head, names in heads.items():
        part = slice(at, at + len(names))
        at += len(names)
        mine = functional.log_softmax(scores[:, :, part], -1)
        theirs = sum(functional.softmax(one[:, :, part], -1) for one in taught) / len(taught)
        assert isinstance(theirs, Tensor)
        apart = (theirs * (theirs.clamp(min=1e-8).log() - mine)).sum(-1)
        turn = (apart * words).sum(1).div(words.sum(1).clamp(min=1).sqrt())
        total = total + WEIGHT[head] * turn.mean() / 2
    return total


class Descent:
    """Steps down the loss: the encoder at one rate, the layer on it at another; both rise shortly, then fall."""

    def __init__(self, tagger: Tagger, rate: float, rate_above: float, steps: int) -> None:
        self.tagger = tagger
        named = list(tagger.named_parameters())
        groups = [
            {"params": [each for name, each in named if name.startswith("enc") is inside], "lr": its}
            for inside, its in ((True, rate), (False, rate_above))
        ]
        self.optimiser = torch.optim.AdamW(groups, weight_decay=0.02, fused=True)
        self.schedule = torch.optim.lr_scheduler.LambdaLR(
            self.optimiser, lambda step: min(1.0, (step + 1) / (0.06 * steps)) * max(0.02, 1 - step / steps)
        )

    def step(self, loss: Tensor) -> None:
        """One step by this loss."""
        self.optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self.tagger.parameters(), 1.0)
        self.optimiser.step()
        self.schedule.step()


def train(
    folder: Path, seed: int, rate: float, count: int, teachers: Sequence[Tagger], device: str, workers: int
) -> Tagger:
    """One tagger."""
    torch.manual_seed(seed)
    data = json.loads((folder / "rows.json").read_text("utf-8"))
    heads, rows = data["heads"], data["rows"]
    vocabulary = (folder / "vocabulary.txt").read_text("utf-8").split("\n")
    tagger = with_base(str(folder / "base.safetensors"), heads).to(device)
    steps = count * (int(len(rows) * 1.1) // SIZE + 1)
    descent = Descent(tagger, rate, rate * 8, steps)
    averaged: dict[str, Tensor] = {}
    step, began = 0, time.monotonic()
    acts = (len(heads["bio"]) - 1) // 2
    batches = epochs(rows, [piece for piece in vocabulary if piece], list(heads), acts, seed, count, workers)
    for epoch, found in enumerate(batches):
        tagger.train()
        total = torch.zeros((), device=device)
        for one in found:
            inputs = [torch.as_tensor(array, device=device) for array in one[:4]]
            tags = {head: torch.as_tensor(array, device=device) for head, array in one.tags.items()}
            with torch.autocast("cuda", dtype=torch.bfloat16, enabled=device == "cuda"):
                scores = tagger(*inputs)
            loss = by_labels(scores.float(), tags, torch.as_tensor(one.weight, device=device), heads)
            if teachers:
                with torch.no_grad(), torch.autocast("cuda", dtype=torch.bfloat16, enabled=device == "cuda"):
                    taught = [teacher(*inputs).float() for teacher in teachers]
                told = by_teachers(scores.float(), taught, (inputs[3] > 0).float(), heads)
                loss = FROM_LABELS * loss + FROM_TEACHERS * told
            descent.step(loss)
            total += loss.detach()
            step += 1
            if step > steps * AVERAGED_FROM and step % 5 == 0:
                average(averaged, tagger)
        if epoch % 5 == 4 or epoch == count - 1:
            print(f"seed {seed} epoch {epoch} loss {total.item() / len(found):.4f}", flush=True)
    print(f"seed {seed}: {time.monotonic() - began:.0f} s", flush=True)
    if averaged:
        tagger.load_state_dict(averaged)
    return tagger.eval()


@torch.no_grad()
def average(averaged: dict[str, Tensor], tagger: Tagger) -> None:
    """Adds the weights to their moving average."""
    for name, value in tagger.state_dict().items():
        if name in averaged:
            averaged[name].mul_(0.98).add_(value, alpha=0.02)
        else:
            averaged[name] = value.detach().clone()


def main() -> None:
    """Trains the teachers side by side, then the student."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--teacher", type=int, default=0, help="train this one only")
    parser.add_argument("--epochs", type=int, default=22)
    parser.add_argument("--student-epochs", type=int, default=24)
    chosen = parser.parse_args()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    chosen.out.mkdir(parents=True, exist_ok=True)
    if chosen.teacher:
        tagger = train(chosen.folder, chosen.teacher, TEACHERS[chosen.teacher], chosen.epochs, (), device, 5)
        torch.save(tagger.state_dict(), chosen.folder / f"teacher{chosen.teacher}.pt")
        return
    begin = [sys.executable, __file__, str(chosen.folder), str(chosen.out), "--epochs", str(chosen.epochs)]
    running = [subprocess.Popen([*begin, "--teacher", str(seed)]) for seed in TEACHERS]
    if any(process.wait() for process in running):
        sys.exit("a teacher failed")
    heads = json.loads((chosen.folder / "rows.json").read_text("utf-8"))["heads"]
    teachers = []
    for seed in TEACHERS:
        teacher = with_base(str(chosen.folder / "base.safetensors"), heads)
        teacher.load_state_dict(torch.load(chosen.folder / f"teacher{seed}.pt"))
        teachers.append(teacher.to(device).eval())
    export(teachers[0], chosen.out / "teacher.onnx")
    teachers[0].to(device)
    student = train(chosen.folder, STUDENT_SEED, STUDENT_RATE, chosen.student_epochs, teachers, device, 12)
    export(student, chosen.out / "tagger.onnx")


if __name__ == "__main__":
    main()
