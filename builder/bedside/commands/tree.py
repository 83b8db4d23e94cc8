"""`bedside tree`: the grower's questions as an outline, with who comes to each end."""

import re
import sys
import textwrap
from collections.abc import Iterator, Mapping
from pathlib import Path

import click

from bedside.commands.new import schemas_of, write_new
from bedside.commands.project import in_project, sound_library
from bedside.commands.terminal import CLEAN, FOLDER, PROBLEMS, known
from bedside.measure.advice import Advice, EndShares, better_looks, end_shares
from bedside.model.library import Library
from bedside.model.records import OTHERWISE, Plant
from bedside.problems import counted
from bedside.reason import proposal
from bedside.reason.evidence import weigh
from bedside.reason.proposal import tree_text

EXAMPLE = """\b
examples:
  bedside tree
  bedside tree PLANT --check-order
  bedside tree PLANT --propose

A number beside a cause is its share among all who come to that end."""
WIDTH = 110
INDENT = "|   "
MOST_ADVICE = 20
ANY_OTHER = "any other answer, or can't tell"
ONLY_CANT_TELL = "can't tell"
ORDER = """Sense goes before bits: ask in the order in which you would walk and look. These
are the places where another look that makes sense there would tell much more. Bits
allow for those who can't tell, and for steps to another part of the plant. Nothing is
changed: move a question in tree.yaml only if you would ask it there."""
WELL_ORDERED = "No other look that makes sense would tell much more, at any question."
ID = re.compile(r"\([a-z][a-z0-9-]*\)")
SMALL = "\x1b[2m"
BACK = "\x1b[0m"


@click.command(
    help="Print the tree of questions, and who comes to each end.",
    short_help="print the tree of questions, and who comes to each end",
    epilog=EXAMPLE,
)
@click.argument("plant", default="")
@click.option(
    "--check-order",
    is_flag=True,
    help="advise where another question would tell much more",
)
@click.option(
    "--propose",
    is_flag=True,
    help="write tree.yaml where there is none; else print what would be proposed",
)
@in_project
def command(root: Path, plant: str, *, check_order: bool, propose: bool) -> int:
    """Print the trees, or advice about their order, or what the arithmetic would ask."""
    library = sound_library(root, drafts=True)
    if library is None:
        return PROBLEMS
    plants = library.knowledge.plants
    for name in [known(plant, plants, "plant")] if plant else list(plants):
        grown = plants[name]
        if propose:
            _propose(root, grown)
            continue
        lines = advice_lines(library, grown) if check_order else tree_lines(grown)
        for line in lines:
            print(with_small_ids(line) if sys.stdout.isatty() else line)
    return CLEAN


def _propose(root: Path, plant: Plant) -> None:
    text = tree_text(plant, proposal.propose(plant), schemas_of(root))
    if plant.tree.proposed:
        write_new(root, {plant.tree.file: text})
        print("It is yours now: read it aloud, and move what you would ask otherwise.")
    else:
        print(text, end="")


def tree_lines(plant: Plant) -> Iterator[str]:
    """The outline of a plant's tree, line by line."""
    tree = plant.tree
    shares = end_shares(weigh(plant), tree)
    asked, ends = len(tree.questions), len(tree.ends)
    yield f"{plant.name}: {counted(asked, 'question')}, {counted(ends, 'end')}"
    yield ""
    yield from _below(plant, shares, tree.first, "")
    yield ""


def advice_lines(library: Library, plant: Plant) -> Iterator[str]:
    """Where another order would tell more, line by line."""
    advice = better_looks(weigh(plant), plant.tree)
    yield f"{plant.name}: {counted(len(plant.tree.questions), 'question')}"
    yield ORDER if advice else WELL_ORDERED
    yield ""
    for it in advice[:MOST_ADVICE]:
        yield from _advised(library, plant, it)
        yield ""
    if len(advice) > MOST_ADVICE:
        yield f"and {len(advice) - MOST_ADVICE} more that matter less"


def with_small_ids(line: str) -> str:
    """The same line for a terminal, its ids dimmed."""
    return ID.sub(lambda found: f"{SMALL}{found[0]}{BACK}", line)


def _below(
    plant: Plant, shares: Mapping[str, EndShares], place: str, indent: str
) -> Iterator[str]:
    question = plant.tree.questions[place]
    sign = plant.signs[question.sign]
    yield from _wrapped(f"{sign.question} ({sign.id})", indent)
    says = {answer.id: answer.says for answer in sign.all_answers}
    all_named = set(says) == set(question.ways)
    says[OTHERWISE] = ONLY_CANT_TELL if all_named else ANY_OTHER
    for answer, to in (*question.ways.items(), (OTHERWISE, question.otherwise)):
        said = f"- {says[answer]} ({answer})"
        if to in shares:
            yield from _wrapped(f"{said} > {_end(plant, shares[to])}", indent)
        else:
            yield from _wrapped(said, indent)
            yield from _below(plant, shares, to, indent + INDENT)


def _end(plant: Plant, shares: EndShares) -> str:
    named = " or ".join(_with_share(plant, it) for it in shares.named.items())
    others = ", ".join(_with_share(plant, it) for it in shares.besides.items())
    besides = f"; not named here: {others}" if others else ""
    return f"{named}{besides}; {100 * shares.coming:.1f} of 100"


def _with_share(plant: Plant, of_cause: tuple[str, float]) -> str:
    cause, share = of_cause
    return f"{plant.causes[cause].name} {min(share, 0.99):.2f}"


def _advised(library: Library, plant: Plant, advice: Advice) -> Iterator[str]:
    question = plant.tree.questions[advice.question]
    path = (*question.path, question.sign)
    line = library.place(plant.tree.file, *path, key=True).line
    came = ", ".join(question.path[1::2]) or "nothing yet"
    yield f"{FOLDER}/{plant.tree.file}:{line}: after {came}"
    yield f"    asked here: {_asked(plant, question.sign, advice.tells)}"
    yield f"    tells more: {_asked(plant, advice.sign, advice.would_tell)}"
    yield f"    {100 * advice.coming:.1f} of 100 come here"


def _asked(plant: Plant, sign: str, bits: float) -> str:
    return f"{plant.signs[sign].question} ({sign}) {bits:.2f} bits"


def _wrapped(text: str, indent: str) -> list[str]:
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=f"{indent}    ",
        break_on_hyphens=False,
    )
