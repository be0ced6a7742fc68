"""Opens a network's weights the way this program runs them: one thread, no memory kept between runs."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def opened(weights: Path) -> Any:
    """An ONNX Runtime session; the import waits until the first network is needed."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.enable_cpu_mem_arena = False
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(str(weights), options, providers=["CPUExecutionProvider"])
