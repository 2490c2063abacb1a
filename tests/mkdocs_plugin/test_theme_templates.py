"""The theme's templates escape what they print, and print their own HTML as before."""

from __future__ import annotations

from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort

from chorus_handbook.mkdocs_plugin import theme_templates
from chorus_handbook.mkdocs_plugin.plugin import ChorusHandbookPlugin
from chorus_handbook.template_cache import compiled_templates


def site(project: Path, language: str) -> dict[str, bytes]:
    """Every page of the built site, in one of the theme's languages."""
    folder = project / f"site-{language}"
    config = load_config(str(project / "mkdocs.yml"), site_dir=str(folder))
    config.theme["language"] = language
    config.copyright = '&copy; <a href="about/">Us</a>'
    build(config)
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.html")
    }


@pytest.mark.parametrize("language", ["en", "cy"])  # Welsh has apostrophes in its labels
def test_a_handbook_without_special_signs_looks_as_without_escaping(
    project: Path, language: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    escaped = site(project, language)
    monkeypatch.setattr(theme_templates, "_escapes", lambda _: False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "other"))  # of templates, once compiled
    assert site(project, language) == escaped
    assert b"i'r cynnwys" in escaped["exercises/index.html"] or language == "en"


def test_what_older_versions_compiled_without_escaping_is_not_used(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert compiled_templates(theme_templates.ESCAPING)
    assert not (tmp_path / "chorus-handbook" / "templates").exists()


def test_a_feature_that_takes_text_for_html_is_refused_by_name(project: Path) -> None:
    config = load_config(str(project / "mkdocs.yml"))
    config.theme["features"] = [*config.theme["features"], "content.tooltips"]
    plugin = config.plugins["chorus-handbook"]
    assert isinstance(plugin, ChorusHandbookPlugin)
    with pytest.raises(Abort, match=r"content\.tooltips"):
        plugin.on_config(config)
