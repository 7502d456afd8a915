// Package garments holds the garments that come with the program, one folder each: the script that drafts it
// (draft.star) and a page for people (card.md). They use the same verbs as anyone's own script.
package garments

import (
	"embed"
	"io/fs"
)

//go:embed */draft.star */card.md
var files embed.FS

// Script is the drafting script of a garment, and whether there is one of that name.
func Script(name string) ([]byte, bool) {
	src, err := files.ReadFile(name + "/draft.star")
	return src, err == nil
}

// Names lists the garments, sorted.
func Names() []string {
	var out []string
	dirs, _ := fs.ReadDir(files, ".")
	for _, d := range dirs {
		if d.IsDir() {
			out = append(out, d.Name())
		}
	}
	return out
}
