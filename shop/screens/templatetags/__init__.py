"""What templates of single pages word."""
