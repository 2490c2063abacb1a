"""Builds the site with MkDocs: our pages go in, MkDocs adds theme, menu and search.

Nothing outside this package imports MkDocs. `plugin` has the hooks that MkDocs calls, `run` starts
MkDocs from our commands, and `handbook_page` presents our pages to it. `kept_pages` reuses pages of
earlier builds. `serving`, `watcher`, `site_folders` and `preview` are for `handbook serve`.
"""
