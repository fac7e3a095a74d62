"""Static pages for a browser, drawn from the plans and the drawings that paper is made of."""
