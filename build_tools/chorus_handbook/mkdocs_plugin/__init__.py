"""Hands the site to MkDocs. The only importer of MkDocs: hooks and configuration."""
