"""The class page of every school of a district, made from packed logs by an engine that works on many computers."""
