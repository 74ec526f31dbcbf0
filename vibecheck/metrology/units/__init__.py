"""Values as people type them: numerals, units, lists."""
