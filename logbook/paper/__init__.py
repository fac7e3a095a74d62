"""What goes out: pages in millimetres, and the PDF made of them."""
