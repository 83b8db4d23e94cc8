"""The reader of letters, in a real browser with the table of the real site."""

import json
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from bedside.language.letter_phrases import reading_of, stem
from tests.knowledge.letters_read import (
    READ,
    REPLY,
    Reading,
    development,
    invented,
    letters,
    measured,
    reader_page,
)
from tests.knowledge.letters_scored import Share, figures, written

# Raw bytes; about a third of it travels. The models that read a letter weigh most of it.
MOST_BYTES = 450 * 1024
LETTERS_READ = Path(__file__).parents[2] / "knowledge" / "canna" / "letters_read.json"
READ_BARE = """letters => {
  const { causes, answers, says, ...shared } = table.models;
  const bare = { ...table, models: shared };
  return letters.map(it => reader.readLetter(it, bare));
}"""
# Counts how often a reading asks a table of words: that is the work of a letter, where a
# clock would measure the machine.
LOOKED_UP = """texts => texts.map(text => {
  const { get } = Map.prototype;
  let asked = 0;
  Map.prototype.get = function (key) { asked += 1; return get.call(this, key); };
  try { reader.readLetter(text, table); } finally { Map.prototype.get = get; }
  return asked;
})"""
KEPT = """texts => texts.map(text => {
  const kept = words.plain(text);
  const said = words.sentences(words.lexicon(table), kept).flatMap(it => it.words);
  return [kept.length, said.length];
})"""
MOST_KEPT = (12_000, 1_500)  # letters, words
READER = (
    "letters.js", "letter_words.js", "letter_models.js", "letter_findings.js",
    "letter_facts.js", "letter_danger.js", "letters_reply.js", "letters-canna.json",
)  # fmt: skip


@pytest.fixture(scope="module")
def page(browser: Browser, site: str) -> Page:
    """A page with the reader in it."""
    return reader_page(browser, site)


def read(page: Page, *texts: str) -> list[Reading]:
    """Read letters."""
    found: list[Reading] = page.evaluate(READ, list(texts))
    return found


def answers(reading: Reading) -> dict[str, str]:
    """Findings as sign and answer."""
    return {it["sign"]: it["answer"] for it in reading["findings"]}


def test_letters_set_aside_are_read_as_the_page_says(page: Page) -> None:
    """The figures on the page about how sure we are come from the reader as it stands."""
    kept = json.loads(LETTERS_READ.read_text(encoding="utf-8"))
    wanted = written("aside")
    got = figures(
        list(zip(wanted, read(page, *(it["letter"] for it in wanted)), strict=True))
    )
    said = {
        what: Share(right=of["aside"][0], of=of["aside"][1])
        for what, of in kept["figures"].items()
    }
    assert got == said, "run: python -m tests.tools.letters_report --keep"


@pytest.mark.parametrize("name", ["development", "invented"])
def test_the_right_cause_comes_first(page: Page, name: str) -> None:
    """Letters that can be decided are decided rightly, and others are asked back."""
    wanted = {"development": development, "invented": invented}[name]()
    got = measured(wanted, read(page, *(it.text for it in wanted)))
    assert got.first >= 0.75 * got.decided, got.wrong
    assert got.three >= 0.85 * got.decided, got.wrong
    assert got.back >= 0.80 * got.asks, got.wrong


def test_danger_is_noticed(page: Page) -> None:
    """Hardly a letter in which somebody is hurt gets an answer about leaves."""
    texts = letters("danger.yaml")["letters"]
    noticed = [bool(got["urgent"]) for got in read(page, *texts)]
    assert sum(noticed) >= 0.85 * len(texts), [
        it for it, is_ in zip(texts, noticed, strict=True) if not is_
    ]


def test_calm_letters_raise_no_alarm(page: Page) -> None:
    """Of letters with the same words and no harm hardly one brings up an emergency."""
    texts = letters("calm.yaml")["letters"]
    false = [it for it, got in zip(texts, read(page, *texts), strict=True) if got["urgent"]]
    assert len(false) <= 0.05 * len(texts), false


@pytest.mark.parametrize(
    ("text", "first"),
    [
        (
            "My husband collapsed after he sprayed, he can't breathe. The dog is with him.",
            "call-now",
        ),
        (
            "My toddler drank some weed killer ten minutes ago. Will it hurt him?",
            "swallowed",
        ),
        ("My dog ate slug bait an hour ago. Will it hurt him?", "pet"),
    ],
)
def test_what_has_happened_is_not_silenced(page: Page, text: str, first: str) -> None:
    """No question beside it and no animal comes before a person who was hurt."""
    (reading,) = read(page, text)
    assert reading["kind"] == "danger"
    assert reading["urgent"][0]["aid"] == first


def test_a_letter_in_spanish_gets_two_languages(page: Page) -> None:
    """Nothing is read into it, and it tells in both whom to call."""
    text = (
        "Hola, las hojas de mis cannas tienen manchas amarillas. ¿Qué puedo hacer? Gracias"
    )
    (reading,) = read(page, text)
    assert (reading["kind"], reading["language"]) == ("foreign", "es")
    assert not reading["findings"]
    assert "Gracias por su carta" in reading["reply"]


def test_what_we_know_of_cannas_is_no_answer_for_a_rose(page: Page) -> None:
    """Another plant gets no advice of ours; a question alone gets its answer alone."""
    rose, gone = read(
        page,
        "Not about a canna, sorry: my roses have black spots. Will the roses recover?",
        "How do I get rid of cannas for good? I dug them out and they keep coming back.",
    )
    assert rose["kind"] == "other-plant"
    assert "firm root" not in rose["reply"]
    assert "dig out every piece" in gone["reply"]
    assert "can't tell" not in gone["reply"]


def test_what_no_model_has_learnt_is_read_by_its_turns(page: Page) -> None:
    """A question added to asked.yaml counts at once, where it is asked and not told."""
    asks, tells, both = read(
        page,
        "How do I keep squirrels from digging in my canna bed?",
        "The squirrels dig in my canna bed every spring. Thank you for the roots.",
        "Why are there ants on my cannas? And how do I overwinter them in Ohio?",
    )
    assert asks["asks"] == ["dug-up"]
    assert "wire mesh" in asks["reply"]
    assert "quillwater.example/topics/animals-that-dig/" in asks["reply"]
    assert "dug-up" not in tells["asks"]
    assert both["asks"] == ["ants", "overwinter"]


def test_who_is_asked_to_show_more_is_told_how(page: Page) -> None:
    """A reply that can't tell yet leads to what to photograph, if there is room."""
    unsure, sure = read(
        page,
        "Something is wrong with my cannas, see attached pictures.",
        "My canna leaves are rolled shut and sewn with threads, black pellets inside.",
    )
    assert "quillwater.example/topics/photographs/" in unsure["reply"]
    assert "topics/photographs" not in sure["reply"]


def test_a_reply_calls_the_customer_by_name(page: Page) -> None:
    """A month that is a name is no month."""
    (reading,) = read(page, "Small green bugs in a crowd on the new leaf.\nThanks,\nApril")
    assert reading["reply"].startswith("Dear April,")
    assert reading["month"] is None


@pytest.mark.parametrize(
    ("end", "name"),
    [
        ("Thank you! Priscilla N., Chapel Hill", "Priscilla"),
        ("Thanks, Bud Kowalczyk, Toledo", "Bud"),
        ("Yours truly, Walter T. Hensley", "Walter"),
        ("Sincerely, Mrs. Odessa Farrow", "Mrs. Farrow"),
        ("Be honest lol. - Marisol", "Marisol"),
        ("Thanks, love it, Sam", "Sam"),
        ("Respectfully, Clem Yarbrough, Harrison, Arkansas", "Clem"),
    ],
)
def test_a_reply_takes_a_place_for_no_name(page: Page, end: str, name: str) -> None:
    """Names stand before places; who writes a title is called by it."""
    (reading,) = read(page, f"Small green bugs sit in a crowd on the new leaf. {end}")
    assert reading["reply"].startswith(f"Dear {name},")


def test_a_tight_chest_and_sick_lungs_need_the_ambulance_first(page: Page) -> None:
    """The poison line waits where somebody with a lung disease has a tight chest."""
    (reading,) = read(
        page,
        "A cloud of powder came out of the peat and I started coughing. My chest has been "
        "tight for two days. I have COPD and my inhaler helps for maybe an hour.",
    )
    reply = reading["reply"]
    assert reply.index("911") < reply.index("1-800-222-1222")


def test_a_throat_that_closes_is_noticed_however_calmly_it_is_told(page: Page) -> None:
    """Also of the writer, and in a letter that is one long line like the head of a mail."""
    (calm,) = read(
        page,
        "Subject: hornets in the plum beside my cannas. I was struck at the base of the "
        "tongue, the insect having been in my tea. At 14:50 speech is thick and I find "
        "swallowing difficult. What do you recommend for the nest?",
    )
    assert calm["urgent"][0]["aid"] == "call-now"
    assert "Call 911 now. Only an allergy pen comes first." in calm["reply"]


def test_who_was_burnt_by_fire_reads_of_burns(page: Page) -> None:
    """The ambulance, and that nothing is peeled off; a sting that burns is none."""
    fire, sting = read(
        page,
        "My husband burned the dead canna tops and his shirt caught fire. His arm is white "
        "and leathery. What can I put on it?",
        "My hand is on fire since I touched a green spiny caterpillar. What do I do?",
    )
    assert [it["aid"] for it in fire["urgent"]] == ["call-now", "burn"]
    assert "Never pull off what sticks" in fire["reply"]
    assert "burn" not in [it["aid"] for it in sting["urgent"]]


def test_what_is_rinsed_is_rinsed_before_the_call(page: Page) -> None:
    """The reply says first what comes first."""
    (eye,) = read(page, "I got the weed killer in my eye and it burns. What do I do?")
    assert eye["reply"].index("gentle water") < eye["reply"].index("1-800-222-1222")


def test_the_place_is_where_the_writer_lives(page: Page) -> None:
    """Not where the aunt lives whose way was tried."""
    (wisconsin,) = read(
        page,
        "I left my cannas in the ground since my aunt does, but she's in Tennessee and "
        "I'm in Wisconsin. They are brown jelly inside.",
    )
    assert wisconsin["region"]["state"] == "WI"


def test_first_aid_fits_who_is_hurt(page: Page) -> None:
    """An animal that ate of it goes to the animal line; a child never hears of a vet."""
    rabbit, child, despair = read(
        page,
        "My rabbit ate a whole leaf of it, like a kid with a cake. "
        "Now he will not eat his hay.",
        "My son ate a raw piece of the root you sent. He is seven. Is it poison?",
        "I will not be here for the planting. I have written the notes. I want to die.",
    )
    assert "1-888-426-4435" in rabbit["reply"]
    assert "911" not in rabbit["reply"]
    assert "1-800-222-1222" in child["reply"]
    assert "vet" not in child["reply"].split()
    assert "Please call 988 now" in despair["reply"]
    assert "call 911 at once" in despair["reply"]
    assert "Someone" not in despair["reply"]


def test_another_plant_is_recognised(page: Page) -> None:
    """Letters about another plant say so, and letters about ours do not."""
    sets = letters("other_plants.yaml")
    others = read(page, *(it["text"] for it in sets["other"]))
    found = [
        got["otherPlant"] == it["plant"]
        for it, got in zip(sets["other"], others, strict=True)
    ]
    false = [it for it in read(page, *sets["canna"]) if it["otherPlant"]]
    assert sum(found) >= 0.90 * len(found)
    assert len(false) <= 0.05 * len(sets["canna"])


def test_findings_point_to_the_words_of_the_letter(page: Page) -> None:
    """Each finding quotes the letter exactly, also behind tags, emoji and capitals."""
    text = "<b>HELP</b> 🌿🌿\r\n> old text\nTHE LEAVES ARE SEWN SHUT with thread — İ"
    (reading,) = read(page, text)
    assert reading["findings"]
    units = text.encode("utf-16-le")  # the browser counts in these
    for it in reading["findings"]:
        said = units[2 * it["start"] : 2 * it["end"]].decode("utf-16-le")
        assert said == it["words"]
    assert answers(reading)["roll-held"] == "stitches"


def test_reading_is_pure(page: Page) -> None:
    """The same letter gives the same reading, and the table stays as it was."""
    before = page.evaluate("JSON.stringify(table)")
    one, other = read(page, *["Holes in a row, web inside. Ohio, July."] * 2)
    assert one == other
    assert page.evaluate("JSON.stringify(table)") == before


@pytest.mark.parametrize(
    ("text", "sign", "answer"),
    [
        ("There is slime on the leaves", "animal", "slug-seen"),
        ("No slime on the leaves", "animal", "animal-none"),
        ("I didn't see any worms in them", "animal", "animal-none"),
        ("There is no web anywhere", "web", "web-none"),
        ("not only web but also worms", "animal", "worm-seen"),
        ("Nothing came up and the root is mush", "root-feel", "root-soft"),
        ("Catterpillers in the leaf", "animal", "worm-seen"),
        ("the orange powder rubs off", "wipe", "orange-dust"),
    ],
)
def test_what_is_said_and_what_is_denied(
    page: Page, text: str, sign: str, answer: str
) -> None:
    """A denial reaches forward to its own words only, and slips of the pen are forgiven.

    So reads a plant that no model was trained for: by the phrases of its records alone.
    """
    (reading,) = page.evaluate(READ_BARE, [text])
    assert answers(reading).get(sign) == answer


def test_a_list_is_denied_as_a_whole(page: Page) -> None:
    """ "No slugs, beetles or worms" denies all three."""
    (reading,) = page.evaluate(READ_BARE, ["I found no slugs, beetles or worms."])
    assert answers(reading)["animal"] == "animal-none"


def test_a_guess_is_a_guess(page: Page) -> None:
    """What a customer takes it for is shown, weighs little, and is no finding."""
    (reading,) = read(page, "I think it's slugs.")
    assert reading["guess"]["causes"] == ["slug-snail"]
    assert "animal" not in answers(reading)
    assert not reading["enough"]


def test_what_was_read_somewhere_is_no_observation(page: Page) -> None:
    """Hearsay gives no finding."""
    (reading,) = read(page, "I read that rolled leaves mean leaf rollers.")
    assert not reading["findings"]


def test_our_own_link_is_read(page: Page) -> None:
    """A letter that carries our link carries its findings."""
    (first,) = read(page, "Leaves sewn shut, small worms and black pepper inside.")
    (second,) = read(page, f"You sent me {first['link']} and now what?")
    assert answers(second) == answers(first)
    assert second["link"] == first["link"]


@pytest.mark.parametrize(
    ("text", "state", "country", "zone"),
    [
        ("Cannas in Houston have holes", "TX", "us", "gulf-southeast"),
        ("Holes. Raleigh, NC", "NC", "us", "gulf-southeast"),
        ("Holes. Akron, OH 44301", "OH", "us", "mid-midwest-northeast"),
        ("We live in West Virginia", "WV", "us", "mid-midwest-northeast"),
        ("On my allotment in Kent", "", "gb", "uk-ireland"),
        ("In Sydney they rust", "", "au", ""),
    ],
)
def test_the_place_is_read(
    page: Page, text: str, state: str, country: str, zone: str
) -> None:
    """States, cities, postal codes and countries lead to a zone of climate."""
    (reading,) = read(page, text)
    region = reading["region"]
    assert (region["state"], region["country"], region["zone"]) == (state, country, zone)


def test_no_place_and_no_month_are_made_up(page: Page) -> None:
    """ "May I", "or", "me" and "in" are no month and no state."""
    (reading,) = read(page, "May I ask you, or tell me, if they march in? OK, hi.")
    assert reading["region"] is None
    assert reading["month"] is None


def test_the_month_turns_below_the_equator(page: Page) -> None:
    """January is summer in Australia."""
    north, south = read(page, "Ohio, in January", "Australia, in January")
    assert (north["month"], south["month"]) == (1, 1)
    assert south["context"]["season"] == "summer"


BAD = {
    "nothing": "",
    "a megabyte": "leaves with holes and words without end " * 26_000,
    "markup": "<script>alert(1)</script><img src=x onerror=alert(1)> leaves sewn shut",
    "another language": "Meine Blumen haben gelbe Blätter und ich weiß nicht warum.",
    "only a photo": "see pics. Sent from my phone",
    "emoji": "🌿😭🐛🐛 ❤️",
    "symbols": "#### ... !!! ??? ((( [[[ *** \\ $& \x00 \ud800",
    "prototype": "__proto__ constructor toString hasOwnProperty #constructor.__proto__",
    "no words": "12345 67890 1/2 3.14",
}


@pytest.mark.parametrize("text", BAD.values(), ids=BAD.keys())
def test_bad_letters_do_no_harm(page: Page, text: str) -> None:
    """Whatever is pasted, the reader gives a sensible reading and a short reply."""
    (reading,) = read(page, text)
    (reply,) = page.evaluate(REPLY, [text])
    assert sum(it["probability"] for it in reading["ranking"]) == pytest.approx(1)
    assert not reading["urgent"]
    assert 0 < len(reply.split()) <= 150


def test_a_long_letter_is_read_from_its_start(page: Page) -> None:
    """A megabyte of words makes no more work than the piece of it that is read."""
    whole = BAD["a megabyte"]
    start = whole[: MOST_KEPT[0]]
    assert len(whole) > 1_000_000
    assert read(page, whole) == read(page, start)
    of_whole, of_start = page.evaluate(LOOKED_UP, [whole, start])
    assert of_whole == of_start
    for kept in page.evaluate(KEPT, [whole, "a " * len(whole)]):
        assert all(found <= most for found, most in zip(kept, MOST_KEPT, strict=True))


def test_what_is_quoted_is_not_the_customers(page: Page) -> None:
    """Quoted chains, signatures and legal notices are passed over."""
    text = (
        "The leaves are sewn shut with thread and nothing else about them is odd at all.\n"
        "On Monday, the grower wrote:\n> Do you see orange dust under the leaf?\n"
        "-- \nThis mail is confidential. Slugs and snails, Houston, Texas"
    )
    (reading,) = read(page, text)
    assert answers(reading)["roll-held"] == "stitches"
    assert "wipe" not in answers(reading)
    assert reading["region"] is None


def test_a_letter_that_was_passed_on_is_read(page: Page) -> None:
    """Where the mail holds nothing of its own, what it quotes is the letter."""
    (reading,) = read(page, "FYI\n> From: someone\n> The leaves are sewn shut with thread.")
    assert answers(reading)["roll-held"] == "stitches"


def test_both_stems_are_the_same(page: Page) -> None:
    """The builder and the browser cut every word of the records in the same way."""
    reading = letters("../../../knowledge/words/reading.yaml")
    words = {word for head, all_ in reading["same"].items() for word in (head, *all_)}
    words |= {"stitched", "riddled", "gluing", "leaves", "striped", "houses", "chickens"}
    given = sorted(words)
    assert page.evaluate("all => all.map(words.stem)", given) == [stem(it) for it in given]
    assert reading_of(reading).canonical("won't") == "not"


def test_the_table_and_the_reader_are_small(site_folder: Path) -> None:
    """Table and reader stay within their bytes, so that they load on one bar of signal."""
    assert (
        sum((site_folder / "assets" / name).stat().st_size for name in READER) <= MOST_BYTES
    )


def test_the_work_grows_with_the_letter(page: Page) -> None:
    """A dozen letters in one make at most the work of the dozen: no word is looked up again
    for each other word."""
    texts = [it.text for it in invented()[:12]]
    together = "\n\n".join(texts)
    page.evaluate(LOOKED_UP, texts[:1])  # the table is made ready once
    words = [count for _, count in page.evaluate(KEPT, [*texts, together])]
    assert sum(words[:-1]) == words[-1] > 100  # every word of the dozen is read
    *one_by_one, in_one = page.evaluate(LOOKED_UP, [*texts, together])
    assert min(one_by_one) > 20
    assert in_one <= sum(one_by_one)


def test_replies_are_short_and_say_what_to_do(page: Page) -> None:
    """A reply has at most 150 words, and a step, a question or a number to call."""
    wanted = development()
    replies: list[str] = page.evaluate(REPLY, [it.text for it in wanted])
    readings = read(page, *(it.text for it in wanted))
    for reply, reading in zip(replies, readings, strict=True):
        assert len(reply.split()) <= 150
        if reading["urgent"]:
            assert "First, before the plant" in reply
        elif reading["kind"] == "trouble" and reading["findings"]:
            assert ("What to do:" in reply) == reading["enough"]
            assert "Please look at this" in reply or reading["enough"]


def test_no_reply_names_a_dose_or_leaves_a_gap(page: Page) -> None:
    """No slot of a piece is left unfilled."""
    texts = [it.text for it in (*development(), *invented())]
    for reply in page.evaluate(REPLY, texts):
        assert "{" not in reply
        assert "undefined" not in reply


def test_danger_replies_name_the_number_of_the_country(page: Page) -> None:
    """Each country's own line is named, and the plant comes last."""
    us, gb = page.evaluate(
        REPLY,
        [
            "My son swallowed slug pellets from the canna bed. Ohio.",
            "My son swallowed slug pellets from the canna bed. Kent, England.",
        ],
    )
    assert "1-800-222-1222" in us
    assert "111" in gb
    assert us.index("1-800-222-1222") < us.index("plant can wait")


def test_the_table_is_plain_data(site_folder: Path) -> None:
    """The file the page loads is JSON and nothing else."""
    table = (site_folder / "assets" / "letters-canna.json").read_text(encoding="utf-8")
    assert isinstance(json.loads(table), dict)
