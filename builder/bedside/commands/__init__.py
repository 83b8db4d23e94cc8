"""The command line, one command a module.

Each has `command`, which says its words and returns the exit code: 0 all well, 1 problems
in what is written, 2 wrong usage. Commands print; nothing else does.
"""
