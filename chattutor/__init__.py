"""chattutor: a tutor that listens while a learner solves linear equations in one unknown."""

import os

__version__ = "0.1.0"

os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # newer versions of onnxruntime keep an id and report: nothing leaves here
