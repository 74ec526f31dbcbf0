"""A recorded drive: the file, its spectrum, its orders and how strongly it shakes a person."""
