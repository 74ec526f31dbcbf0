"""The command line: stdout is data, stderr is talk."""
