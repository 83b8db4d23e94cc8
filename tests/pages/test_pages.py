"""From records to pages, without a browser and without MkDocs."""

import json
import re
from collections.abc import Mapping
from dataclasses import asdict, fields, is_dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from bedside.model.library import Library
from bedside.model.records import Source, WayIn
from bedside.pages.all_pages import all_assets, all_pages
from bedside.pages.frame.addresses import (
    cause_address,
    node_address,
    question_address,
    relative,
)
from bedside.pages.frame.assets import bundle, stamp
from bedside.pages.frame.citing import cited
from bedside.pages.frame.desk import Site, site
from bedside.pages.frame.templates import (
    POLICY_PLACE,
    PageFacts,
    colours,
    minify,
    with_policy,
)
from bedside.pages.frame.views import ResultView
from bedside.pages.walk.question_pages import loose_view, question_view
from bedside.pages.walk.question_pages import pages as question_pages
from bedside.pages.walk.result_pages import end_view, result_view
from bedside.pages.walk.result_parts import (
    finding_words,
    reasons,
    split_between,
    sure_words,
    word_for,
)
from bedside.read.theme import read_theme
from bedside.reason.findings import findings_of, format_fragment
from bedside.reason.outcome import Reason, denies, outcome
from bedside.reason.ranking import rank
from tests.factories import make_cause, make_claim, make_sign

ROOT = Path(__file__).parents[2]
EVIL = '<b onclick="x()">&amp;</b><script>alert(1)</script>'


def make_site(library: Library) -> Site:
    theme = read_theme(ROOT)
    desk = site(library, theme, bundle(theme.assets))
    return replace(desk, templates=desk.templates.knowing(all_assets(desk)))


@pytest.fixture(scope="module")
def toy_site(toy: Library) -> Site:
    return make_site(toy)


def result_of(desk: Site, *answers: str) -> ResultView:
    plant = desk.desks["mossbell"]
    return result_view(desk, plant, findings_of(plant.evidence, answers).findings)


@pytest.mark.parametrize(
    ("here", "there", "fragment", "link"),
    [
        ("", "", "", "./"),
        ("", "causes/", "", "causes/"),
        ("causes/rust/", "", "", "../../"),
        ("causes/rust/", "causes/moth/", "", "../moth/"),
        ("moss/result/end/", "moss/result/", "a.b", "../#a.b"),
        ("causes/rust/", "causes/rust/", "top", "#top"),
        ("about/", "assets/icon.svg", "", "../assets/icon.svg"),
    ],
)
def test_a_link_is_relative_to_its_page(
    here: str, there: str, fragment: str, link: str
) -> None:
    """Links work under any sub-path, so they never start from the site's root."""
    assert relative(here, there, fragment) == link


def test_the_first_question_stands_at_the_plants_own_address(toy: Library) -> None:
    """A plant's address opens its first question; every other node has its own."""
    plant = toy.knowledge.plants["mossbell"]
    assert question_address(plant, plant.tree.first) == "mossbell/"
    assert question_address(plant, "trace") == "mossbell/trace/"
    assert node_address(plant, "bell-moth/bite") == "mossbell/result/bell-moth/bite/"


def test_a_page_knows_what_everybody_who_comes_there_said(toy_site: Site) -> None:
    """A link may claim no more than the answers on the one way to its page."""
    arrived = toy_site.desks["mossbell"].arrived
    assert arrived["leaf-look"].findings == {}
    assert arrived["bell-moth"].findings == {"leaf-look": "holes", "trace": "pellets"}
    # Some come here with no trace, and some who could not tell.
    assert arrived["bite"].findings == {"leaf-look": "holes"}
    assert arrived["bite"].asked == ("leaf-look", "trace")
    assert arrived["unlisted"].findings == {}


def test_an_end_says_that_it_cannot_see_all_answers(toy_site: Site) -> None:
    """It shows what most who come there have, offers no look it could not follow, and
    weighs no pair and no other commonness, for it does not know what was answered."""
    desk = toy_site.desks["mossbell"]
    for end, come in desk.arrived.items():
        if end in desk.plant.tree.ends:
            view = end_view(toy_site, desk, end)
            assert view.notes == (toy_site.words["on_end"],)
            assert (view.look, view.two, view.equal) == (None, (), "")
            assert view.fragment == format_fragment(come.findings)
    assert result_of(toy_site, "holes", "pellets").notes == ()


def test_an_end_is_weighed_by_the_way_that_leads_there(toy_site: Site) -> None:
    """Who has no answer of its own there still passed by, and that counts."""
    desk = toy_site.desks["mossbell"]
    by_links = desk.arrived["dust-spot/soil-wet"].ranking
    told = rank(desk.evidence, desk.arrived["dust-spot/soil-wet"].findings)
    assert by_links.share("dust-spot") != told.share("dust-spot")
    view = end_view(toy_site, desk, "dust-spot/soil-wet")
    assert view.head.sure == sure_words(toy_site.words, by_links.top_share)


def test_a_question_leads_on_with_what_is_known(toy_site: Site) -> None:
    """Without a script each answer's link carries what the straight walk to it said."""
    desk = toy_site.desks["mossbell"]
    view = question_view(toy_site, desk, desk.plant.tree.questions["trace"])
    slime = view["links"]["slime"]
    assert (slime.address, slime.fragment) == (
        "mossbell/result/slime-nibbler/",
        "holes.slime",
    )
    assert view["links"]["trace"].fragment == "holes.trace"
    assert [told.answer for told in view["told"]] == ["Holes or bitten edges"]
    assert view["told"][0].address == "mossbell/"
    assert view["number"] == 2
    assert (view["back"].address, view["back"].fragment) == ("mossbell/", "")


def test_who_cannot_tell_takes_the_grower_s_other_way(toy_site: Site) -> None:
    """Without a script "none of these" and "I can't tell" lead where `otherwise` says."""
    desk = toy_site.desks["mossbell"]
    view = question_view(toy_site, desk, desk.plant.tree.questions["trace"])
    none, cant_tell = view["links"]["no-trace"], view["links"]["trace"]
    assert {none.address, cant_tell.address} == {"mossbell/bite/"}
    assert none.fragment == "holes.no-trace"


def test_a_sign_that_the_tree_does_not_ask_has_a_page(toy_site: Site) -> None:
    """The arithmetic may ask it: its answers lead to the result without a script."""
    desk = toy_site.desks["mossbell"]
    first = desk.plant.tree.questions["leaf-look"]
    tree = replace(desk.plant.tree, questions={"leaf-look": first})
    short = replace(desk, plant=replace(desk.plant, tree=tree))
    view = loose_view(short, desk.plant.signs["soil"])
    assert {link.address for link in view["links"].values()} == {"mossbell/result/"}
    assert list(view["links"]) == ["soil-wet", "soil-dry", "soil-moist", "soil"]
    assert all(link.fragment == name for name, link in view["links"].items())
    made = question_pages(replace(toy_site, desks={"mossbell": short}))
    loose = {f"mossbell/{sign}/" for sign in desk.plant.signs if sign != "leaf-look"}
    assert loose < {it.address for it in made}


def test_short_ways_in_pass_what_goes_without_saying(toy_site: Site) -> None:
    """A way in leads to the question that its answers make next, with those answers."""
    desk = toy_site.desks["mossbell"]
    ways = (
        WayIn(says="Something eats it", findings=("holes",)),
        WayIn(says="Slime on it", findings=("holes", "slime")),
    )
    short = replace(desk, plant=replace(desk.plant, ways_in=ways))
    first = question_view(toy_site, short, desk.plant.tree.questions["leaf-look"])
    assert [(it.address, it.fragment) for _, it in first["ways_in"]] == [
        ("mossbell/trace/", "holes"), ("mossbell/result/", "holes.slime"),
    ]  # fmt: skip
    later = question_view(toy_site, short, desk.plant.tree.questions["trace"])
    assert later["ways_in"] == ()


def test_a_result_names_its_cause_and_a_first_step(toy_site: Site) -> None:
    """Two telling answers are enough to name a cause, with a number and a step."""
    view = result_of(toy_site, "holes", "pellets")
    assert view.head.cause
    assert view.head.name == "the bell moth"
    assert re.fullmatch(r"Likely \([67] in 10\)", view.head.sure)
    assert view.now.do
    assert view.whole is not None
    assert view.whole.address == "causes/bell-moth/"


def test_an_open_result_names_nothing(toy_site: Site) -> None:
    """With nothing found the page says so, keeps no plan, and offers a look."""
    view = result_of(toy_site)
    assert view.head.open
    assert (view.head.name, view.rungs, view.whole) == ("", (), None)
    assert view.look is not None
    assert len(view.also) >= 2


def test_each_look_says_what_its_answer_would_change(toy_site: Site) -> None:
    """Following an answer of "one more look" gives what the page said it would; it says
    nothing where nothing would change."""
    views = [result_of(toy_site, *before) for before in ((), ("holes",), ("spots",))]
    offered = [(view, it) for view in views if view.look for it in view.look.answers]
    assert offered
    for view, answer in offered:
        after = result_of(toy_site, *answer.fragment.split("."))
        if answer.then:
            assert answer.sure == after.head.sure
            assert after.head.open or answer.then == after.head.name
        else:
            assert after.head == view.head


def test_a_spray_stays_shut_until_the_check_has_passed(toy_site: Site) -> None:
    """The rung of sprays asks for the check first, and opens once it has passed."""
    shut = result_of(toy_site, "spots", "soil-moist")
    assert shut.head.name == "dust spot"
    assert shut.check is not None
    assert shut.check.open
    last = next(rung for rung in shut.rungs if rung.tier == "last-resort")
    assert (last.check_first, last.ask_first) == (True, False)
    moth = result_of(toy_site, "holes", "pellets")
    assert moth.check is not None
    assert moth.check.passed
    narrow = next(rung for rung in moth.rungs if rung.tier == "narrow-spray")
    assert not narrow.check_first | narrow.ask_first


def test_a_spray_with_nothing_left_to_check_stays_shut(toy_site: Site) -> None:
    """Where the check was failed, or the cause is not sure enough, a person is asked."""
    view = result_of(toy_site, "spots", "dust-stays")
    assert view.check is not None
    assert view.check.failed
    last = next(rung for rung in view.rungs if rung.tier == "last-resort")
    assert (last.check_first, last.ask_first) == (False, True)


def test_two_causes_stand_to_compare_where_no_answer_denies_them(toy_site: Site) -> None:
    """However sure a result is, it lists look-alikes and what splits them; what an answer
    denies is none, and where nothing is left the page has no empty list."""
    desk = toy_site.desks["mossbell"]
    bare = 0
    for told in ((), ("holes",), ("spots",), ("pale", "soil-wet"), ("holes", "slime")):
        findings = findings_of(desk.evidence, told).findings
        view = result_view(toy_site, desk, findings)
        listed = (*view.also, *view.within)
        assert all(each.split for each in listed), told
        bare += not view.also
        lead = desk.plant.causes[rank(desk.evidence, findings).top]
        left_out = [
            look.cause
            for look in lead.look_alikes
            if cause_address(look.cause) not in {each.address for each in listed}
        ]
        assert len(listed) >= 2 or all(
            denies(desk.evidence, findings, cause) for cause in left_out
        ), told
        page = toy_site.templates.render(
            "result.html.j2",
            PageFacts(address="mossbell/result/x/", title="x", description="x"),
            desk.plant.drawings,
            view,
        )
        assert ('id="also"' in page) == bool(view.also), told
    assert bare


def test_reasons_stand_on_their_side_with_how_often_they_are_seen(toy_site: Site) -> None:
    """What the arithmetic takes as for or against is said in words of the first cause."""
    view = result_of(toy_site, "holes", "slime")
    assert [reason.says for reason in view.reasons_for] == [
        "Holes or bitten edges",
        "Silver slime",
    ]
    desk, words = toy_site.desks["mossbell"], toy_site.words
    found = outcome(desk.evidence, {"leaf-look": "holes", "trace": "slime"})
    odd = replace(found, reasons=(Reason(sign="trace", answer="pellets", supports=False),))
    for_it, against = reasons(desk.plant, odd, words)
    assert for_it == ()
    assert [(it.says, it.how) for it in against] == [
        ("Dark pellets", words["frequency"]["never"])
    ]


def test_none_of_these_is_told_with_its_question(toy: Library) -> None:
    """Alone the words would not say none of what."""
    sign = toy.knowledge.plants["mossbell"].signs["trace"]
    assert finding_words(sign, "no-trace") == f"{sign.question} None of these"
    assert finding_words(sign, "slime") == "Silver slime"


def test_a_cause_silent_on_a_sign_gives_no_reason(toy: Library) -> None:
    """A sign the cause does not speak of is neither for nor against it."""
    plant = toy.knowledge.plants["mossbell"]
    silent = plant.causes["unlisted"]
    sign = plant.signs["leaf-look"]
    assert word_for(silent, sign, "holes") == ""


@pytest.mark.parametrize(
    ("words", "left"),
    [
        ({"holes": "rarely"}, "always"),
        ({"holes": "sometimes", "spots": "rarely"}, "usually"),  # .57 is left
        ({"holes": "sometimes", "spots": "sometimes"}, "sometimes"),  # .30
        ({"holes": "usually"}, "sometimes"),  # .22
        ({"holes": "usually", "spots": "rarely"}, "rarely"),  # .14
        ({"holes": "always"}, "never"),  # .03
    ],
)
def test_what_is_left_for_none_of_these_reads_as_the_nearest_word(
    words: dict[str, str], left: str
) -> None:
    """An answer that nobody gave a word for is told by the share the others leave it."""
    sign = make_sign("leaf", ("holes", "spots"), none="neither")
    cause = make_cause("moth", evidence={"leaf": words})
    assert word_for(cause, sign, "neither") == left
    assert all(word_for(cause, sign, answer) == word for answer, word in words.items())


def test_the_split_comes_from_whichever_record_says_it(toy: Library) -> None:
    """Two look-alikes need to name the feature once; both pages show it."""
    plant = toy.knowledge.plants["mossbell"]
    alike = plant.causes["bell-moth"].look_alikes[0]
    assert split_between(plant, "bell-moth", alike.cause) == alike.split
    assert split_between(plant, "", "bell-moth") == ""


def test_the_mail_carries_the_address_as_the_standard_says(toy_site: Site) -> None:
    """RFC 6068: line ends are %0D%0A, no plus for a space; at most 1,000 characters."""
    view = result_of(toy_site, "holes", "pellets")
    assert view.mail.startswith("mailto:")
    assert "%0D%0A" in view.mail
    assert "+" not in view.mail
    assert "%23holes.pellets" in view.mail
    assert len(view.mail) < 1000


def test_sources_are_numbered_as_the_page_needs_them() -> None:
    """Publications get numbers; custom, memory and our own view are named in a word."""
    made = {
        id_: Source(id=id_, kind=kind, title=id_)
        for id_, kind in (
            ("a", "web"), ("b", "web"), ("memory", "memory"), ("judgement", "judgement"),
        )
    }  # fmt: skip
    found = cited(made, make_claim("x", "memory", "b"), (make_claim("y", "a", "b"),))
    assert {id_: each.mark for id_, each in found.items()} == {
        "b": "1", "a": "2", "memory": "memory",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("css", "small"),
    [
        ("a { color: red; }  /* why */ b { top: 0 }", "a{color:red}b{top:0}"),
        ('a::before { content: "x: y;  }" }', 'a::before{content:"x: y;  }"}'),
        ("p > a, b { margin: 1px 2px }", "p>a,b{margin:1px 2px}"),
        ("@media (width > 48rem) { a { top: 0 } }", "@media (width>48rem){a{top:0}}"),
        ("main:has(#x:checked) .y { top: calc(1px + 2px) }",
         "main:has(#x:checked) .y{top:calc(1px + 2px)}"),
    ],
)  # fmt: skip
def test_style_sheets_are_tightened_without_a_change_of_meaning(
    css: str, small: str
) -> None:
    """Comments and needless space go; quoted text and calc() keep theirs."""
    assert minify(css) == small


def test_print_is_on_white_in_the_light_colours(toy: Library) -> None:
    """A dark screen still prints ink on white."""
    css = colours(toy.knowledge.nursery)
    assert css.index("@media print") > css.index("prefers-color-scheme:dark")
    assert css.rstrip("}").endswith("--paper:#fff")


def test_scripts_find_each_other_by_their_stamps() -> None:
    """A script that imports another changes its own stamp when the other does."""
    one = {"a.js": b'import { x } from "./b.js";', "b.js": b"export const x = 1;"}
    two = {**one, "b.js": b"export const x = 2;"}
    first, second = bundle(one), bundle(two)
    assert f"./b.js?v={stamp(one['b.js'])}".encode() in first[0].content
    assert stamp(first[0].content) != stamp(second[0].content)


def test_the_policy_names_each_inline_part_by_its_hash() -> None:
    """A page runs only the styles and scripts it was built with (CSP level 2 hashes)."""
    page = with_policy(f"<head>{POLICY_PLACE}<style>a{{top:0}}</style></head>")
    digest = sha256(b"a{top:0}").digest()
    assert "'sha256-" in page
    assert len(digest) == 32
    assert "unsafe-inline" not in page
    assert "frame-ancestors" not in page


def test_pages_have_titles_of_their_own(toy_site: Site) -> None:
    """No two pages share a title or an address."""
    pages = all_pages(toy_site)
    assert len({page.title for page in pages}) + 1 >= len(pages)
    assert len({page.address for page in pages}) == len(pages)


def test_a_record_leads_on_to_its_topics(toy_site: Site) -> None:
    """A cause, a control and a topic name the pages to read on at; others say nothing."""
    pages = {page.address: page.html for page in all_pages(toy_site)}
    topic = toy_site.knowledge.topics["dividing"]
    for address in ("causes/thirst/", "controls/look-over/"):
        assert f'<a href="../../topics/dividing/">{topic.title}</a>' in pages[address]
    assert "Read on" not in pages["causes/bell-moth/"] + pages["topics/dividing/"]


def test_each_danger_leads_to_whether_the_plant_is_poisonous(toy: Library) -> None:
    """One answer for each plant; who despairs is led nowhere else."""
    them = toy.knowledge.emergencies
    (eyes,) = them.first_aid
    boxes = (eyes, replace(eyes, id="life-line", title="Despair"))
    known = replace(toy.knowledge, emergencies=replace(them, first_aid=boxes))
    pages = {
        it.address: it.html for it in all_pages(make_site(replace(toy, knowledge=known)))
    }
    page = pages["emergencies/"]
    assert page.count('id="poisonous"') == 1
    (claim,) = toy.knowledge.plants["mossbell"].notes["pets"]
    assert claim.say in page
    of = {part.partition('"')[0]: part for part in page.split('<h2 id="')}
    assert "#poisonous" in of["eyes"]
    assert "#poisonous" not in of["life-line"]
    assert "emergencies/#poisonous" in pages["controls/soap-spray/"]


def test_the_browser_reads_only_text(toy_site: Site) -> None:
    """Every data file is JSON of plain values, and its skeleton has each slot once."""
    files = {asset.address: asset.content for asset in all_assets(toy_site)}
    data = json.loads(files["assets/mossbell.json"])
    assert set(data["causes"]) == set(toy_site.desks["mossbell"].plant.causes)
    assert 'data-t="head.name"' in data["skeleton"]
    walk = json.loads(files["assets/mossbell-walk.json"])
    assert set(walk) == {"table", "tree", "plant", "signs", "causes"}
    assert walk["tree"]["first"] in walk["tree"]["questions"]
    assert set(walk["signs"]) == set(walk["table"]["signs"]) == set(data["signs"])


def test_no_slot_is_left_in_a_built_page(toy_site: Site) -> None:
    """What tells the script where things go is taken out of pages that need no script."""
    for page in all_pages(toy_site):
        assert not re.search(r" data-(t|if|each|a|d)=", page.html), page.address


def test_two_compiles_give_the_same_bytes(toy: Library) -> None:
    """Nothing in a page depends on anything but the knowledge and the look."""
    assert all_pages(make_site(toy)) == all_pages(make_site(toy))


def test_markup_in_any_text_field_shows_as_text(toy: Library) -> None:
    """Text of the knowledge is inert wherever it lands: no tag of it survives."""
    spoiled = replace(toy, knowledge=_spoiled(toy.knowledge))
    desk = make_site(spoiled)
    for page in all_pages(desk):
        assert "<b onclick" not in page.html, page.address
        assert "<script>alert" not in page.html, page.address
    for asset in all_assets(desk):
        if asset.address.endswith(".json"):
            skeleton = json.loads(asset.content).get("skeleton", "")
            assert "<b onclick" not in skeleton


# Fields that are ids, places or closed words: the schema lets no markup into them.
CLOSED_WORDS = (
    "id file kind tier tick sign sources where_when_sources family common short "
    "evidence where_when first_step also_right harmed_by control cause drawing "
    "not_after looked_at told_by asks rules_out group needs passes fails states "
    "countries months site email country home_state paper light dark url "
    "reviewed checked address audience ease number read_more "
    "state size_mm drawings zone season findings also second source photos tree cases "
)
CLOSED = frozenset(re.findall(r"[a-z_]+", CLOSED_WORDS))


def _spoiled(value: Any, name: str = "") -> Any:
    if name in CLOSED:
        return value
    if isinstance(value, str):
        return value + EVIL if value else value
    if isinstance(value, tuple):
        return tuple(_spoiled(each, name) for each in value)
    if isinstance(value, Mapping):
        return {key: _spoiled(each, name) for key, each in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        changed = {f.name: _spoiled(getattr(value, f.name), f.name) for f in fields(value)}
        return replace(value, **changed)
    return value


def test_a_view_is_plain_values(toy_site: Site) -> None:
    """A result's view survives JSON, so that the browser can be held equal to it."""
    view = asdict(result_of(toy_site, "holes"))
    assert json.loads(json.dumps(view)) == json.loads(json.dumps(view, sort_keys=True))


# Newer than the browsers that are meant (three years back), and so not to be used.
TOO_NEW = re.compile(
    r"\(\?<[=!]|withResolvers|Object\.groupBy|Map\.groupBy|fromAsync|Promise\.try|"
    r"\.(?:union|intersection|difference|isSubsetOf)\(|RegExp\.escape|import defer"
)
ALSO = re.compile(r"@supports selector\(:has\(\*\)\) \{(?:[^{}]*\{[^{}]*\})*[^{}]*\}")
# What looks a little plainer where `:has` is not known, and hides nothing.
PLAINER = (".branch li:has(+ .dashed)", ".progress:not(:has(> :not([hidden])))")


def test_scripts_use_nothing_that_is_too_new() -> None:
    """A look-behind stopped the desk in every Safari before 16.4."""
    for path in (ROOT / "site_src" / "assets").glob("*.js"):
        assert not TOO_NEW.search(path.read_text(encoding="utf-8")), path.name


def test_no_warning_hangs_on_a_selector_that_is_new() -> None:
    """A browser that can't tell what is ticked shows every warning."""
    for path in (ROOT / "site_src" / "style").glob("*.css"):
        plain = ALSO.sub("", path.read_text(encoding="utf-8"))
        for rule in PLAINER:
            plain = plain.replace(rule, "")
        assert ":has(" not in plain.replace("@supports not selector(:has(*))", ""), (
            path.name
        )
        hidden = re.findall(r"\.because \{ display: (\w+)", plain)
        assert set(hidden) <= {"block"}, path.name
