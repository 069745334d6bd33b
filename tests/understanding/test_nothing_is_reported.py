"""The runtime of the network keeps no identifier and reports nothing: newer ones would, unless they are told not to."""

import os
import subprocess
import sys
from pathlib import Path

from processes import ROOT

ASK = "import chattutor; from dialogue.understanding.interpret import interpret; interpret('i reckon two off each')"


def test_loading_the_network_leaves_nothing_behind(tmp_path: Path) -> None:
    environment = os.environ | {"HOME": str(tmp_path), "XDG_CACHE_HOME": str(tmp_path), "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", ASK], env=environment, check=True, timeout=60)
    assert list(tmp_path.rglob("*")) == []
