"""What singers find at home, on the home page and on the pages of exercises."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages import at_home as panels
from chorus_handbook.warmups.at_home import AtHome, Evening
from four_parts import CHORUS as FOUR_PARTS

CHORUS = Chorus.model_validate(FOUR_PARTS)


def main_of(site: Path, address: str) -> str:
    whole = (site / address / "index.html").read_text("utf-8")
    return whole.partition("<main")[2].partition("</main>")[0]


def text_of(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def test_home_says_what_to_practise_with_its_date(demo_site: Path) -> None:
    panel = main_of(demo_site, "").partition("hb-at-home")[2].partition("hb-last-warm-up")[0]
    assert re.findall(r' data-day="([\d-]+)"', panel) == ["2026-12-03"]
    assert "For Thursday, 3 December 2026 Towards Christmas" in text_of(panel)
    assert "About 3 minutes in all." in text_of(panel)  # those of its only exercise
    ways = re.findall(r'href="exercises/oyster/\?sounds=(\w+)">([^<]+)<', panel)
    assert ways == [
        ("only", "My part alone"),
        ("echo", "Echo it"),
        ("all", "Sing with the others"),
        ("others", "The others only"),
    ]


def test_home_says_what_was_sung_and_no_remark(demo_site: Path) -> None:
    panel = main_of(demo_site, "").partition("hb-last-warm-up")[2].partition("</section>")[0]
    assert "What we did Concert in the chapel Saturday, 21 November 2026" in text_of(panel)
    files = demo_site.parent / "handbook" / "warmups"
    written = (files / "2026-11-21-concert-in-the-chapel.md").read_text("utf-8")
    items = [item for item in written.split("  - exercise: ")[1:] if "sung: yes" in item]
    sung = list(dict.fromkeys(item.split()[0] for item in items))  # one of them twice
    assert re.findall(r'<a href="exercises/([a-z-]+)/"', panel) == sung and len(sung) < len(items)
    assert len(re.findall(r"sounds=only", panel)) == len(sung) - 1  # one has no notes
    everything = "".join(path.read_text("utf-8") for path in files.glob("*.md"))
    remarks = re.findall(r"remark: (.+)", everything)
    assert len(remarks) > 5 and not any(remark in text_of(panel) for remark in remarks)


def test_an_exercise_says_for_which_evening_it_is_to_be_practised(demo_site: Path) -> None:
    said = text_of(main_of(demo_site, "exercises/oyster"))
    assert "At home for Thursday, 3 December 2026" in said
    assert "At home for" not in main_of(demo_site, "exercises/slipway")  # its evening is over


def test_an_exercise_that_does_not_exist_is_left_out() -> None:
    evening = Evening("2026-12-10", "19:30", "warmups/2026-12-10-x.md", "<b>X", ("nothing",))
    assert not panels.to_practise(AtHome((evening,)), {}, CHORUS)
    last = panels.last_sung(AtHome(last=evening), {})
    assert "&lt;b&gt;X" in last and "nothing" not in last
    assert not panels.to_practise(AtHome(), {}, CHORUS) and not panels.last_sung(AtHome(), {})
