"""Tables of trees as growers keep them: any heads, any order, dates and sizes as written; read, or asked once."""
