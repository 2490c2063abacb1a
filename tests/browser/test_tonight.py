"""On a phone: the warm-up starts late, voices are tired, an item is swapped;
everything is undone by one tap."""

from __future__ import annotations

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
    expect(panel.locator(".hb-tonight-told")).to_contain_text("Left out: 2 Slow tune in minor")
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
