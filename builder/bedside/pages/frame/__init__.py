"""What every page stands in: addresses, templates, drawings, files, the desk."""
