"""What every part of the application uses: exit codes, output, arguments, JSON lines, steps and MathML."""
