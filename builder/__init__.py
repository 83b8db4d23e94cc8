"""Bedside: from a grower's YAML to a site, a sheet and browser data.

source   files -> documents with a place for every value
schema, assemble   documents -> frozen records (model)
reason, checks     arithmetic on the records; problems of meaning
compile  records + arithmetic -> exactly what one page, sheet or data file shows
pipeline, mkdocs_hook, cli   the story in one function; the site; the command line
"""
