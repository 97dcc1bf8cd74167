package main

import (
	"fmt"
	"io"
	"runtime/debug"
)

// release is the name of the release; the release script has the linker write it.
var release string

// version is the release, else the module's version, and where it is not a release the commit it
// was built from.
func version() string {
	if release != "" {
		return release
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && (v == "" || v == "(devel)") {
			v = s.Value
		}
	}
	if v == "" {
		return "unknown"
	}
	return v
}

func runVersion(_ []string, stdout, _ io.Writer) int {
	fmt.Fprintln(stdout, "fourfold", version())
	return 0
}
