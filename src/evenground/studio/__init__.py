"""The studio app: a web server on the studio's own machine, pages that parse, call and show."""
