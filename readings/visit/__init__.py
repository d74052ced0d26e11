"""The visit file: what is kept, how it is kept, and how it is given back."""
