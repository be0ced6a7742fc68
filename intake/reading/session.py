"""Opens a network's weights the way this program runs them: one thread, no memory kept between runs."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def opened(weights: Path | bytes) -> Any:
    """An ONNX Runtime session; the import waits until the first network is needed."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.enable_cpu_mem_arena = False
    options.log_severity_level = 3
    network = weights if isinstance(weights, bytes) else str(weights)
    return onnxruntime.InferenceSession(network, options, providers=["CPUExecutionProvider"])


def with_output(network: bytes, name: str) -> bytes:
    """An ONNX network that also gives out what one of its nodes hands on to another, as float32.

    Where a message field of a protocol buffer comes twice, its parts are joined (Protocol Buffers, encoding, "last one
    wins"), so one more output is appended: ModelProto.graph is field 7, GraphProto.output 12, ValueInfoProto.name 1 and
    its type 2, TypeProto.tensor_type 1, whose elem_type 1 is FLOAT, 1 (onnx.proto3).
    """
    kind = _field(2, _field(1, b"\x08\x01"))
    return network + _field(7, _field(12, _field(1, name.encode()) + kind))


def _field(number: int, content: bytes) -> bytes:
    """A field with a length before it (wire type 2)."""
    return bytes([number << 3 | 2]) + _varint(len(content)) + content


def _varint(value: int) -> bytes:
    low, rest = value & 0x7F, value >> 7
    return bytes([low]) if not rest else bytes([low | 0x80]) + _varint(rest)
