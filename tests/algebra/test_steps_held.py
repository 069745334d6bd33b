"""The judge against the half of the judged steps that nobody reads (data/README.md): totals only."""

import json

from judged_steps import DATA
from test_steps_dev import same_result, weighed


def test_held_steps() -> None:
    text = (DATA / "steps_held.jsonl").read_text(encoding="utf-8")
    rows = [json.loads(line) for line in text.splitlines() if line.strip()]
    judged = [weighed(row) for row in rows]
    balanced = sum(one.balanced is row["balanced"] for one, row in zip(judged, rows, strict=True))
    closer = sum(one.closer is row["closer"] for one, row in zip(judged, rows, strict=True))
    result = sum(same_result(row, one) for one, row in zip(judged, rows, strict=True))
    print(f"held steps: {len(rows)}, balanced {balanced}, closer {closer}, result {result}")
    # bare totals, so that a failure shows no row
    wrong_balance, wrong_result, closer_share = len(rows) - balanced, len(rows) - result, closer / len(rows)
    assert wrong_balance == 0
    assert wrong_result == 0
    assert closer_share >= 0.97
