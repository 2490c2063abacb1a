"""An evening by keys alone: after each action, where the focus is and what a screen reader says."""

from __future__ import annotations

from playwright.sync_api import Page, expect


def test_adding_and_taking_out_keep_the_focus(desktop: Page, site_url: str) -> None:
    page = desktop
    page.goto(site_url + "views/buzz-first/")
    add = page.locator("button.hb-add").first
    add.press("Enter")
    page.keyboard.press("Tab")  # what was said stands at the end of the page
    expect(page.locator(".hb-added").get_by_role("button", name="Undo")).to_be_focused()
    page.keyboard.press("Enter")
    expect(add).to_be_focused()
    expect(page.locator(".hb-added")).to_have_text("Undone.")
    add.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.locator(".hb-added").get_by_role("link", name="Open")).to_be_focused()
    page.keyboard.press("Tab")  # and on from the button
    expect(page.locator("a.hb-list-title").nth(1)).to_be_focused()

    page.goto(site_url + "draft/")
    page.locator(".hb-draft-open").press("Enter")
    page.locator(".hb-draft-item [data-do=remove]").press("Enter")
    wanted = page.get_by_label("Name or goal")
    expect(wanted).to_be_focused()  # nothing is left to have it
    page.keyboard.type("slipway")
    expect(page.locator(".hb-draft-more[aria-live]")).to_have_text("1 exercise")


def test_a_stand_is_led_without_looking(desktop: Page, site_url: str) -> None:
    page = desktop
    page.goto(site_url + "warmups/2026-12-03-towards-christmas/")
    late = page.get_by_role("button", name="We start late")
    late.press("Enter")
    page.get_by_role("button", name="As planned").press("Enter")
    expect(late).to_be_focused()

    page.locator("[data-open=stand]").press("Enter")
    said = page.locator(".hb-stand-said[role=status]")
    item = page.locator("article.hb-stand-item:visible")
    expect(said).to_contain_text(item.locator("h2").inner_text())
    first = item.locator("[aria-current=step]").inner_text()
    expect(said).to_contain_text(first)
    page.keyboard.press("ArrowRight")
    expect(said).not_to_contain_text(first)
    expect(said).to_have_text(f"{item.locator('[aria-current=step]').inner_text()} ")
    while not item.locator(".hb-stand-next-key").count():
        page.keyboard.press("ArrowRight")
    page.keyboard.press("k")
    expect(said).to_contain_text(item.locator(".hb-stand-notes").inner_text())
