"""site.html in real Chromium: opens clean, remembers ticks, prints every piece once, needs no network."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections import Counter

import pytest
from sample_report import sample_report

from cli.main import main
from cli.site.page import site_html

CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))),
    None,
)
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="module")
def browser():
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine")
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with api.sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield started
        started.close()


@pytest.fixture
def address(tmp_path):
    path = tmp_path / "site.html"
    path.write_text(site_html(sample_report()), encoding="utf-8")
    return path.as_uri()


@pytest.fixture
def page(browser, address):
    """Open the page; whatever it logs, throws or asks the network for is a fault."""
    faults = []
    opened = browser.new_page(viewport={"width": 390, "height": 844})
    opened.on("console", lambda message: faults.append(message.text))
    opened.on("pageerror", lambda error: faults.append(str(error)))
    opened.on(
        "request",
        lambda asked: None if asked.url.startswith(("file:", "data:")) else faults.append(asked.url),
    )
    opened.goto(address)
    yield opened
    assert faults == []
    opened.close()


def wanted() -> Counter[str]:
    """Count the pieces of the plan by their label."""
    found: Counter[str] = Counter()
    for cut in sample_report().plan.cut:
        for piece in cut.pieces:
            found[piece.label] += cut.repeat
    return found


def test_every_piece_can_be_ticked_off_once(page):
    """The page has one box for every piece that is cut, by its label."""
    shown = page.locator("label.tick .what").all_inner_texts()

    assert Counter(shown) == wanted()


def test_a_tick_survives_a_reload(page):
    """What is ticked off stays so, counted and struck through; what is not stays open."""
    boxes = page.locator("input[data-key]")
    boxes.nth(0).check()
    boxes.nth(2).check()
    page.reload()

    assert [boxes.nth(n).is_checked() for n in range(3)] == [True, False, True]
    assert page.locator("#count").inner_text() == f"2 of {sum(wanted().values())} cut"
    assert page.locator("label.tick.done").count() == 2


def test_ticks_go_with_the_plan(page, tmp_path):
    """Another plan's page starts with none, even where the browser keeps both."""
    page.locator("input[data-key]").first.check()
    other = tmp_path / "other.html"
    text = site_html(sample_report())
    changed = re.sub(r'data-plan="\w+"', 'data-plan="another"', text)
    assert changed != text
    other.write_text(changed, encoding="utf-8")
    page.goto(other.as_uri())

    assert page.locator("label.tick.done").count() == 0


def test_a_phone_scrolls_down_only(page):
    """No card is wider than a phone."""
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_boxes_are_large_enough_for_gloves(page):
    """Every box to tick and every link at the top is 44 px high or more (WCAG 2.5.5, from memory)."""
    heights = page.evaluate(
        "[...document.querySelectorAll('label.tick, nav a')].map(e => e.getBoundingClientRect().height)"
    )

    assert min(heights) >= 44


def test_drawings_are_in_proportion(page):
    """Every drawing is as wide to its height as what it shows."""
    for box in page.locator("svg[viewBox]").all():
        wide, high = (float(size) for size in box.get_attribute("viewBox").split()[2:])
        shown = box.bounding_box()
        assert shown["width"] / wide >= shown["height"] / high * 0.99


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_printed_page_has_every_piece_once(page, tmp_path, paper):
    """On paper every piece has its box once, and there are no stickers unless asked for."""
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext on this machine")
    printed = tmp_path / "site.pdf"
    # The drawings name the pieces too; here only the list counts.
    page.add_style_tag(content="svg text { display: none }")
    page.pdf(path=printed, format=paper)
    text = subprocess.run(
        ["pdftotext", "-layout", printed, "-"], capture_output=True, text=True, check=True
    ).stdout
    cut = re.split(r"^\f?(?:Cut|Lay)$", text, flags=re.MULTILINE)[1]
    for label, count in wanted().items():
        size = r"\s+[\d/-]+ (x [\d/-]+ )?in"
        assert len(re.findall(rf"(?<![\w.]){re.escape(label)}{size}", cut)) == count, label
    for sheet in text.split("\f")[:-1]:
        assert sheet.strip()


def test_no_drawing_is_parted_between_two_pages(page):
    """Every drawing with its steps asks the printer to keep it on one page, and is short enough for that."""
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 700, "height": 1000})
    kept = page.evaluate(
        """[...document.querySelectorAll('.cut, .lay')].map(e => [
            getComputedStyle(e).breakInside, e.getBoundingClientRect().height])"""
    )

    assert {how for how, _ in kept} == {"avoid"}
    # A Letter page is 279 mm high, 24 mm of them margins: 963 px.
    assert max(height for _, height in kept) < 963


def test_labels_are_shown_when_asked_for(page):
    """The stickers carry every piece once."""
    assert not page.locator(".sticker").first.is_visible()
    page.locator("#labels").click()

    assert Counter(page.locator(".sticker b").all_inner_texts()) == wanted()


def test_the_page_escapes_what_a_job_may_name_things():
    """A title with a bracket is text, not markup."""
    from dataclasses import replace

    report = sample_report()
    named = replace(report, takeoff=replace(report.takeoff, title="<b>Shed</b> & house"))

    assert "&lt;b&gt;Shed&lt;/b&gt; &amp; house" in site_html(named)


HIP = """\
title = "Hip shed"
roof = "hip"
length = "10 ft"
width = "7 ft"
pitch = 5
eave_overhang = "6 in"
[fascia]
material = "1x6"
[shingles]
material = "shingle"
"""


@pytest.fixture(scope="module")
def hip(tmp_path_factory):
    """Plan a small hip roof with shingles from end to end; give its directory."""
    directory = tmp_path_factory.mktemp("hip")
    (directory / "hip.toml").write_text(HIP, encoding="utf-8")
    assert main(["plan", str(directory / "hip.toml"), "--out", str(directory), "--json"]) == 0
    return directory


def test_letters_stay_inside_their_drawing_and_can_be_read(hip, browser):
    """On a phone no label of a hip roof is cut off, and none is smaller than 7 px but on a shingle."""
    opened = browser.new_page(viewport={"width": 390, "height": 844})
    opened.goto((hip / "site.html").as_uri())
    found = opened.evaluate(
        """[...document.querySelectorAll('svg text')].map(t => {
            const s = t.ownerSVGElement, r = t.getBoundingClientRect(), k = s.getBoundingClientRect();
            const scale = Math.min(k.width / s.viewBox.baseVal.width, k.height / s.viewBox.baseVal.height);
            return [t.textContent, t.getAttribute('font-size') * scale, !!t.closest('.small'),
                r.left >= k.left && r.right <= k.right && r.top >= k.top && r.bottom <= k.bottom];
        })"""
    )
    opened.close()

    assert found
    assert [words for words, _, _, inside in found if not inside] == []
    assert [words for words, size, small, _ in found if size < 7 and not small] == []


def test_strips_cut_to_length_are_a_list(hip):
    """Shingles cut at the hips fill no card each: one list has all of them, each once."""
    text = (hip / "site.html").read_text(encoding="utf-8")
    plan = json.loads((hip / "plan.json").read_text(encoding="utf-8"))
    cut = [e for e in plan["cut"] if e["stock"].startswith("shingle") and e["steps"]]
    wanted = Counter({piece["label"]: e["repeat"] for e in cut for piece in e["pieces"]})
    listed = text[text.index("Strips cut to length") : text.index('<h2 id="lay">')]

    assert wanted
    assert Counter(re.findall(r'class="what">([^<]+)<', listed)) == wanted
