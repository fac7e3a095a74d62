"""Pictures of sheets: which sheet it is, which boxes are ticked, which lines are written on. An optional extra.

Nothing here reads handwriting: lines are cut out as strips for the grower to type from. It knows the ledger alone, which
says in millimetres where squares, codes, boxes and lines lie on a page that was printed.
"""
