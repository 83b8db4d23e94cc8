"""What was found wrong by reading records back against their sources: it stays mended.

Each test is a rule over all records or holds one claim to what its source says.
"""

import re
from collections.abc import Iterator

import pytest

from bedside.model.library import Library
from bedside.model.records import Plant
from bedside.pages.frame.desk import PlantDesk
from bedside.reason.evidence import ANYWHERE, Context
from bedside.reason.findings import findings_of
from bedside.reason.ranking import rank
from bedside.reason.steps import choose_first_step

PACIFIC = {"HI", "GU", "AS", "MP"}
# What a line may not say under the name of a source that does not say it.
NOT_IN = {
    "lsu-canna": r"\bpress|nip|stripped|overrun|strong clump",
    "braman2011": r"\balone\b",
    "uw-miller": r"\bit was slugs|slugs make",
    "askx-394100": r"two days|weeks",
    "niab-bt": r"does not reach",
    "nc2018": r"does not reach",
}


@pytest.fixture(scope="module")
def canna(real: Library) -> Plant:
    return real.knowledge.plants["canna"]


def claims(data: object, file: str = "") -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Each line with what it is from: file, words, ids."""
    if isinstance(data, dict):
        said = " ".join(
            str(data[it]) for it in ("say", "do", "when", "split") if it in data
        )
        if said and isinstance(data.get("from"), list):
            yield file, said, tuple(data["from"])
        for each in data.values():
            yield from claims(each, file)
    elif isinstance(data, list):
        for each in data:
            yield from claims(each, file)


def all_claims(real: Library) -> list[tuple[str, str, tuple[str, ...]]]:
    return [
        it
        for file, document in real.documents.items()
        for it in claims(document.data, file)
    ]


def texts(data: object) -> Iterator[str]:
    """Each text of a record, whatever it stands under."""
    if isinstance(data, dict):
        for key, each in data.items():
            if key not in {"words", "from"}:
                yield from texts(each)
    elif isinstance(data, list):
        for each in data:
            yield from texts(each)
    elif isinstance(data, str):
        yield data


@pytest.mark.parametrize("source", NOT_IN)
def test_no_line_says_what_its_source_does_not(real: Library, source: str) -> None:
    """Louisiana cuts or unrolls, beetles spared no kind, a library saw no slug."""
    lines = [
        it for it in all_claims(real) if source in it[2] and "common-practice" not in it[2]
    ]
    wrong = [it for it in lines if re.search(NOT_IN[source], it[1], re.IGNORECASE)]
    assert not wrong


def test_islands_in_the_pacific_are_not_the_gulf_coast(real: Library) -> None:
    """Their climate and their pests are their own: place says nothing there."""
    placed = {it for zone in real.knowledge.zones.values() for it in zone.states}
    assert not PACIFIC & placed
    assert {"FL", "PR", "VI"} <= placed


def test_a_brown_stain_is_rust_as_well(canna: Plant) -> None:
    """The source of this check speaks of a fine dark brown stain that remains."""
    check = canna.causes["canna-rust"].check
    assert check is not None
    assert "brown" in check.do
    assert "speaks against rust" not in check.if_fails


def test_mealybugs_are_not_known_by_a_color_that_one_kind_has(canna: Plant) -> None:
    """In print only the hibiscus kind is pink when it is crushed."""
    for cause in canna.causes.values():
        for text in (cause.in_short, cause.check.do if cause.check else ""):
            assert "smears pink" not in text, cause.id
    told = [it.say for it in canna.causes["mealybug"].good_to_know]
    assert any("virus" in it for it in told)


def test_no_caterpillar_is_called_a_grub(canna: Plant) -> None:
    """A grub is the young of a beetle: nobody shall look for one where a cutworm cut."""
    steps = " ".join(it.say for it in canna.first_steps["guard-shoots"].how)
    for text in (
        canna.causes["cutworm"].in_short,
        *(it.do for it in canna.causes["cutworm"].plan),
        *(it.say for it in canna.causes["cutworm"].do_not),
        steps,
    ):
        assert not re.search(r"\bgrub", text), text


def test_a_spray_of_last_resort_is_closed_where_children_and_pets_are(
    real: Library,
) -> None:
    """Each one hurts eyes, skin or nerves, and has a gentler step to take instead."""
    last = [it for it in real.knowledge.controls.values() if it.tier == "last-resort"]
    assert len(last) >= 3
    for control in last:
        assert "children-pets" in control.closed_when, control.id


def test_birds_are_not_promised_against_lubbers(canna: Plant) -> None:
    """Lubbers make most birds sick."""
    (step,) = [
        it for it in canna.causes["grasshopper"].plan if it.control == "keep-enemies"
    ]
    assert "lubber" in f"{step.do} {step.when}".lower()


def test_what_universities_advise_is_not_called_trade_advice(real: Library) -> None:
    """Louisiana and Georgia name poisons that we advise against: the page says so."""
    for file in (
        "controls/systemic-neonicotinoids.yaml",
        "canna/controls/carbaryl-dust-on-rolls.yaml",
    ):
        assert "in trade advice" not in real.documents[file].data["targets"]
    lines = real.documents["canna/control_lines.yaml"].data["systemic-neonicotinoids"]
    cited = {id_ for it in lines["evidence"] for id_ in it["from"]}
    assert {"la2018", "caes2009"} <= cited
    assert real.knowledge.controls["systemic-neonicotinoids"].tier == "advised-against"


def test_sources_that_differ_on_sprays_into_rolls_are_all_told(real: Library) -> None:
    """North Carolina and Mississippi spray into rolls; Louisiana says it hardly helps."""
    lines = real.documents["canna/control_lines.yaml"].data["btk"]
    cited = {id_ for it in lines["evidence"] for id_ in it["from"]}
    assert {"nc2007", "onslow2018", "msu7-32", "la2018"} <= cited


def test_what_spinosad_does_is_told_and_how_long_is_not_promised(real: Library) -> None:
    """How long it lasts is told in more than one way, and none was measured on flowers."""
    spinosad = " ".join(texts(real.documents["controls/spinosad.yaml"].data))
    assert "can't work for weeks" not in spinosad
    assert "muscles" in spinosad


def test_salt_is_told_where_edges_are_brown_in_moist_soil(canna: Plant) -> None:
    check = canna.causes["sun-drought"].check
    assert check is not None
    assert "salt" in check.if_fails


def test_soft_fur_is_never_called_safe(real: Library) -> None:
    """The puss caterpillar looks like soft fur and has the worst sting of the South."""
    for file, document in real.documents.items():
        for text in texts(document.data):
            assert not re.search(r"(?i)(?<!furry, )hairy or spiny (one|cat)", text), file
            if "caterpillar" in text and re.search(r"\bsoft fur\b", text, re.IGNORECASE):
                assert not re.search(r"(?i)gloves are still wise|harmless", text), file
    check = real.knowledge.plants["canna"].causes["stinging-caterpillar"].check
    assert check is not None
    assert "worm-furry" in check.passes
    assert "No spines: it is another" not in check.if_fails


@pytest.mark.parametrize("cause", ["stinging-caterpillar", "other-caterpillar"])
def test_the_puss_caterpillar_is_told_wherever_fur_is_spoken_of(
    canna: Plant, cause: str
) -> None:
    record = canna.causes[cause]
    lines = (*record.know_it, *record.do_not, *record.good_to_know)
    assert any("puss" in it.say and "fur" in it.say for it in lines)


@pytest.mark.parametrize("step", ["lift-off-with-stick", "cut-leaf-no-touch"])
def test_a_step_near_a_caterpillar_warns_of_fur(canna: Plant, step: str) -> None:
    how = " ".join(it.say for it in canna.first_steps[step].how)
    assert re.search(r"\bfur|furry", how)


def test_the_way_to_a_furry_caterpillar_leads_to_no_bare_hand(desk: PlantDesk) -> None:
    """Whoever tells of fur is told to take the leaf or a stick."""
    for said in (["worm-seen", "worm-furry"], ["eaten", "worm-seen", "worm-furry"]):
        step = step_for(desk, said)
        assert step in {"lift-off-with-stick", "cut-leaf-no-touch"}, said


def step_for(desk: PlantDesk, said: list[str], context: Context = ANYWHERE) -> str:
    findings = findings_of(desk.evidence, said).findings
    ranking = rank(desk.evidence, findings, context)
    return choose_first_step(desk.evidence, ranking, findings).step


@pytest.mark.parametrize(
    ("said", "step"),
    [
        ("marked streaks newest-hit", "set-apart"),
        ("marked streaks stripes-mess others-too", "set-apart"),
        ("rolled whorl-shut slides-free", "leave-new-leaf"),
        ("down nothing-up soil-deep", "scrape-soil-off"),
        ("down nothing-up weeks-winter soil-deep", "scrape-soil-off"),
        ("down nothing-up soil-deep shoot-under", "scrape-soil-off"),
        ("root-odd fuzz-firm", "wipe-and-plant"),
    ],
)
def test_a_step_that_is_part_of_another_comes_first_where_it_is_the_right_one(
    desk: PlantDesk, said: str, step: str
) -> None:
    """What a wider step covers as well is not lost in it."""
    assert step_for(desk, said.split()) == step


def test_streaks_are_set_apart_before_anything_is_named(desk: PlantDesk) -> None:
    """A virus is not named yet, and the plant is kept from the others all the same."""
    said = ("marked", "streaks")
    step = desk.plant.first_steps[step_for(desk, [*said])]
    assert "Set the plant apart" in step.says(said)


@pytest.mark.parametrize("soil", ["", "soil-dry", "soil-moist"])
def test_scorch_in_the_desert_is_not_told_that_nothing_is_to_mend(
    desk: PlantDesk, soil: str
) -> None:
    """Dry brown low leaves in heat: feel the soil, and water it if it is dry."""
    desert = Context(zone="southwest-california", season="summer")
    said = ["marked", "dry-edges", "lowest-two", "heat", *filter(None, [soil])]
    step = desk.plant.first_steps[step_for(desk, said, desert)]
    words = step.says(tuple(said))
    assert "nothing to mend" not in words
    assert soil == "soil-moist" or "ater it well" in words


@pytest.mark.parametrize("dug", ["dug-soft", "dug-dry", "dug-gone", "eye-gnawed"])
@pytest.mark.parametrize("weather", ["frost", "calm"])
def test_a_root_that_is_gone_or_bad_is_not_waited_for(
    desk: PlantDesk, dug: str, weather: str
) -> None:
    """Nothing up after winter, and a look below: the step follows what was seen."""
    said = ["down", "nothing-up", "weeks-winter", weather, dug]
    assert step_for(desk, said) not in {
        "wait-and-warm",
        "keep-the-frosted-root",
        "leave-it",
    }


def test_nothing_up_after_winter_always_has_something_to_do(desk: PlantDesk) -> None:
    idle = {it.id for it in desk.evidence.steps if it.idle}
    for weather in ("frost", "calm", "rain", "heat"):
        for soil in ("soil-dry", "soil-moist", "soil-soggy", "soil-cold"):
            said = ["down", "nothing-up", "weeks-winter", weather, soil]
            assert step_for(desk, said) not in idle, said


def test_a_root_that_was_dug_is_covered_and_not_dug_again(canna: Plant) -> None:
    step = canna.first_steps["wait-and-warm"]
    assert "again" in step.says(("nothing-up", "dug-plump"))


def test_who_speaks_of_handbooks_names_one(real: Library) -> None:
    """What handbooks or extension services say is cited, and not called custom alone."""
    own = {"common-practice", "judgement", "memory"}
    speak = re.compile(r"(?i)\b(handbooks|extension (guides|services|answers))\b")
    for file, text, sources in all_claims(real):
        if speak.search(text) and not text.startswith("Ask"):
            assert not own.issuperset(sources), (file, text)
