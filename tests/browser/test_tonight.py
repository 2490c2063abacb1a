"""On a phone: the warm-up starts late, voices are tired, an item is swapped;
everything is undone by one tap."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect


def names(page: Page) -> list[str]:
    return page.locator(".hb-draft-items .hb-draft-name").all_inner_texts()


def test_on_the_page_of_a_warm_up_and_in_a_draft(phone: Page, site_url: str) -> None:
    phone.goto(f"{site_url}warmups/2026-11-12-fog-comes-in/")
    panel, planned = phone.locator(".hb-tonight"), phone.locator("ol.hb-order").first
    late, tired = panel.locator("[data-tonight=late]"), panel.locator("[data-tonight=tired]")
    for control in panel.locator("button:visible, select").all():
        box = control.bounding_box()
        assert box and box["height"] >= 44, control.inner_text()
    expect(phone.locator(".hb-late")).to_be_hidden()  # it stays for paper, on the cue sheet

    late.click()
    expect(panel.locator(".hb-tonight-told")).to_contain_text("Left out: 5 Wide broken chord")
    expect(phone.locator(".hb-tonight-order li").first).to_contain_text("19:35")
    expect(phone.locator(".hb-tonight-order .hb-order-keys").first).to_contain_text(
        "Starting notes"
    )
    expect(phone.locator(".hb-tonight-order")).to_contain_text("cue word:")
    assert "8 minutes left" in panel.locator("[name=left]").inner_text()
    expect(planned).to_be_hidden()
    late.click()
    expect(planned).to_be_visible()
    expect(phone.locator(".hb-tonight-order")).to_have_count(0)

    tired.click()
    expect(late).to_have_attribute("aria-pressed", "false")
    expect(panel.locator(".hb-tonight-told")).to_contain_text("follow your local advice")
    expect(panel.locator(".hb-tonight-told")).to_contain_text("Instead of 5 Wide broken chord")
    panel.locator(".hb-tonight-open").click()

    expect(phone.locator(".hb-draft-items > li")).to_have_count(7)
    before = names(phone)
    assert "Octave glides through the registers" in before
    phone.locator(".hb-draft-items .hb-draft-open").nth(5).click()
    phone.locator("[data-swap]:visible").click()
    phone.locator(".hb-swaps").get_by_text("Easier").click()
    easier = phone.locator(".hb-swaps li button").first
    expect(easier).to_contain_text("quicker to learn")
    box = easier.bounding_box()
    assert box and box["height"] >= 44
    easier.click()
    assert names(phone)[5] != before[5] and names(phone)[6] == before[6]
    phone.locator(".hb-draft-bar [data-do=undo]").click()
    assert names(phone) == before

    phone.locator("[data-tonight=late]").click()
    expect(phone.locator(".hb-tonight-told")).to_contain_text("Sung through, not taught")
    assert len(names(phone)) < 7
    phone.locator(".hb-draft-bar [data-do=undo]").click()
    expect(phone.locator("[data-tonight=late]")).to_have_attribute("aria-pressed", "false")
    assert names(phone) == before
    phone.locator(".hb-draft-load summary").click()
    expect(phone.locator(".hb-draft-load tbody tr")).to_have_count(4)


def test_the_stand_leads_through_tonight(phone: Page, site_url: str) -> None:
    """Its order, keys and time; one line says so, a button leads back. What was sung is noted by
    the items of the warm-up's file, as `handbook sung` takes it over."""
    phone.goto(f"{site_url}warmups/2026-11-12-fog-comes-in/")
    panel = phone.locator(".hb-tonight")
    panel.locator("[data-tonight=late]").click()
    panel.locator("[data-tonight=tired]").click()
    order = phone.locator(".hb-tonight-order .hb-order-title a")
    expect(order).to_have_count(6)
    titles = order.all_inner_texts()
    phone.get_by_role("button", name="Music stand").click()
    stand = phone.get_by_role("dialog", name="Music stand")
    expect(stand.locator(".hb-stand-tonight")).to_contain_text(
        "Changed for tonight: 10 minutes left, voices are tired."
    )
    expect(stand.locator(".hb-stand-left")).to_have_text("10 min left")
    assert [*stand.locator("h2").all_inner_texts()][:-1] == titles
    shown = stand.locator("article:visible")
    _go_on_to(phone, titles[-1])
    expect(shown.locator("strong.hb-stand-name")).to_have_text("E♭")  # F as planned
    missing: list[str] = []
    phone.on("response", lambda answer: missing.append(answer.url) if not answer.ok else None)
    shown.get_by_role("button", name="Score").click()
    expect(shown.locator("figure")).to_have_attribute("data-key", "Eb4")
    assert missing == []
    phone.get_by_role("button", name="Next").click()
    for _ in range(6):
        phone.keyboard.press("ArrowRight")
    expect(stand.locator("textarea")).to_have_value(
        re.compile(
            "harbour-fog\n    sung: yes\n  - exercise: eddies\n    sung: skipped(?s:.*)"
            'up-the-mast\n    sung: skipped\n    remark: "Instead: Octave glides'
        )
    )
    stand.get_by_role("button", name="As planned").click()
    expect(stand.locator(".hb-stand-where")).to_have_text("1 of 7")
    expect(stand.locator(".hb-stand-tonight")).to_have_count(0)
    stand.get_by_role("button", name="Close").click()
    expect(phone.locator(".hb-tonight-order")).to_have_count(0)


def _go_on_to(page: Page, title: str) -> None:
    heading = page.get_by_role("dialog").get_by_role("heading", name=title)
    for _ in range(60):
        if heading.is_visible():
            return
        page.keyboard.press("ArrowRight")
    raise AssertionError(title)
