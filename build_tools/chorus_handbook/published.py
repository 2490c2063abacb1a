"""Which of an author's files a site shows as they are. Apart from the stages, because a build of
unchanged files needs it and loads none of them."""

from __future__ import annotations

#: Endings of pictures and documents, which may lie in any folder of a handbook.
PUBLISHED = frozenset((".png", ".jpg", ".jpeg", ".webp", ".avif", ".gif", ".pdf"))
