"""What pages that are files of their own are made of: how they look, and pieces of HTML."""
