// Command understage computes the mechanism under a moving figure.
package main

import (
	"os"

	"understage/internal/cli"
)

func main() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
