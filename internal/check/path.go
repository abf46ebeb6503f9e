package check

import "strings"

// partPath returns the path of a named part in the spec, such as
// "drive.belts.loop". A name with a dot or blank is quoted.
func partPath(section, name string) string {
	if name == "" || strings.ContainsAny(name, ". \t\"") {
		name = `"` + strings.ReplaceAll(name, `"`, `\"`) + `"`
	}
	return section + "." + name
}
