"""What is assumed of coating, metal and machine: tables, own coatings, random samples."""
