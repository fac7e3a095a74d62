"""The site's year, computed from twelve monthly normals."""
