"""Images that are printed on covers: kept, shown in pictures, carried in design files."""
