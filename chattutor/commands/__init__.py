"""One file a command, imported only when that command is asked for.

Each has ``add_parser(subparsers)`` and ``run(args) -> int`` (the exit code).
"""

SUMMARIES: dict[str, str] = {
    "lesson": "a lesson for one learner, typed or by voice",
    "page": "the lesson in a browser, from this computer",
    "demo": "watch a lesson with an invented learner",
    "equations": "make, check and print sets of equations",
    "mark": "mark typed-in paper work as a lesson would",
    "review": "the class page for the teacher, from session logs",
    "district": "the class page of every school, from packed logs, on many computers",
    "logs": "list, show, verify, replay, export or erase session logs",
    "voice": "what listening and speaking works here; test the microphone",
    "understand": "what words mean: JSON lines in, JSON lines out",
    "judge": "whether a step keeps the balance: JSON lines in, JSON lines out",
    "solve": "every step of a solution: JSON lines in, JSON lines out",
}
"""Command name (and file name) to its line in ``chattutor --help``, in the order shown there."""
