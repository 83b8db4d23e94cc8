"""From pages to a site that is whole: MkDocs, dead links, the copy, the swap."""
