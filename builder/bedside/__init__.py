"""Bedside: from a grower's YAML to a site, a sheet and browser data.

read      files -> documents with a place for every value -> frozen records (model)
reason    arithmetic on the records; measure: how good it is
checks    problems of meaning
pages     records + arithmetic -> exactly what one page, sheet or data file shows
pipeline  the story in one function; publish: the whole site; commands, cli: the words
"""
