// Package spec reads a figure spec: YAML text to a checked mech.Model, with the
// position of every part.
package spec
