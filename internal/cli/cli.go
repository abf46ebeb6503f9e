// Package cli is the command line: flags and streams in, exit status out.
package cli

import "io"

// Main runs one command line and returns its exit status.
func Main(args []string, stdin io.Reader, stdout, stderr io.Writer) int { return 0 }
