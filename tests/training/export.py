"""A trained tagger to the file that is shipped: ONNX, every large matrix in 8 bits with a scale a row or column."""

import hashlib
from pathlib import Path

import numpy as np
import onnx
import torch
from onnx import helper, numpy_helper

from training.tagger_network import SEEN, WIDTH, Tagger

INPUTS = ("ids", "types", "mask", "first")
SMALL = 4096  # numbers; a smaller array stays as it is


def export(tagger: Tagger, path: Path) -> None:
    """Writes the file, and prints its size and hash."""
    whole = path.with_suffix(".whole.onnx")
    example = (
        torch.tensor([[1, 5, 2, 7, 2]]),
        torch.tensor([[0, 0, 0, 1, 1]]),
        torch.ones(1, 5).long(),
        torch.tensor([[3]]),
    )
    axes = {name: {0: "turns", 1: "words" if name == "first" else "pieces"} for name in INPUTS}
    torch.onnx.export(
        tagger.float().cpu().eval(), example, str(whole), input_names=list(INPUTS), output_names=["tags"],
        opset_version=17, dynamo=False, dynamic_axes=axes | {"tags": {0: "turns", 1: "words"}},
    )  # fmt: skip
    in_eight_bits(whole, path)
    whole.unlink()
    with_states(path)
    print(path.name, path.stat().st_size, "bytes, sha256", hashlib.sha256(path.read_bytes()).hexdigest())


def with_states(path: Path) -> None:
    """The file with a second output, ``states``: what two of the layers make of each word, by its first piece."""
    model = onnx.load(str(path))
    graph = model.graph
    gathered = next(node for node in graph.node if node.op_type == "GatherElements")
    views = [f"view_{layer}" for layer in SEEN]
    for layer, view in zip(SEEN, views, strict=True):
        found = f"/enc/layers.{layer}/n2/LayerNormalization_output_0"
        graph.node.append(helper.make_node("GatherElements", [found, gathered.input[1]], [view], axis=1))
    graph.node.append(helper.make_node("Concat", views, ["states"], axis=2))
    shape = ["turns", "words", len(SEEN) * WIDTH]
    graph.output.append(helper.make_tensor_value_info("states", onnx.TensorProto.FLOAT, shape))
    onnx.checker.check_model(model)
    onnx.save(model, str(path))


def in_eight_bits(whole: Path, path: Path) -> None:
    """Weights in 8 bits; onnxruntime makes them floats again when it loads them, so that only rounding is lost."""
    model = onnx.load(str(whole))
    graph = model.graph
    kept, parts, nodes = [], [], []
    gathered = {node.input[0] for node in graph.node if node.op_type == "Gather"}
    for tensor in graph.initializer:
        array = numpy_helper.to_array(tensor)
        if array.dtype != np.float32 or array.ndim != 2 or array.size < SMALL:
            kept.append(tensor)
            continue
        axis = 0 if tensor.name in gathered else 1
        scale = np.maximum(np.abs(array).max(1 - axis) / 127, 1e-8).astype(np.float32)
        rounded = np.clip(np.rint(array / np.expand_dims(scale, 1 - axis)), -127, 127).astype(np.int8)
        names = [f"{tensor.name}_{part}" for part in ("rounded", "scale", "zero")]
        arrays = (rounded, scale, np.zeros(len(scale), np.int8))
        parts += [numpy_helper.from_array(one, name) for one, name in zip(arrays, names, strict=True)]
        nodes.append(helper.make_node("DequantizeLinear", names, [tensor.name], axis=axis))
    nodes += list(graph.node)
    for field, values in ((graph.initializer, kept + parts), (graph.node, nodes)):
        del field[:]
        field.extend(values)
    onnx.checker.check_model(model)
    onnx.save(model, str(path))


def from_onnx(path: Path, tagger: Tagger) -> None:
    """Puts the rounded weights of the shipped file into the module, as floats. Raises KeyError where one is missing."""
    model = onnx.load(str(path))
    known = {tensor.name: numpy_helper.to_array(tensor) for tensor in model.graph.initializer}
    for node in model.graph.node:
        if node.op_type == "DequantizeLinear":
            rounded, scale = known[node.input[0]].astype(np.float32), known[node.input[1]]
            by_row = next(attribute.i for attribute in node.attribute if attribute.name == "axis") == 0
            known[node.output[0]] = rounded * (scale[:, None] if by_row else scale[None, :])
    biased = {name: node for node in model.graph.node if node.op_type == "Add" for name in node.input}
    for node in model.graph.node:
        weight = next((name for name in node.input if name in known), None)
        if node.op_type == "MatMul" and weight is not None:
            bias = next(name for name in biased[node.output[0]].input if name in known)
            known[bias.removesuffix("bias") + "weight"] = known[weight].T
    found = {name: torch.tensor(known[name].copy()) for name in tagger.state_dict() if not name.startswith("asks.")}
    tagger.load_state_dict(found, strict=False)
