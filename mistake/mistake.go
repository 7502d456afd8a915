// Package mistake is what a person got wrong in a file they wrote: where, what was found, what is allowed, each in one plain
// sentence. Every room that reads such a file (a job, a house, a costing) collects its mistakes in a [File], so that a person
// sees all of them at once, each with its line:
//
//	f := mistake.File{Name: "house.toml", Src: src}
//	if !f.Decode(&into, mistake.Kind{What: "a house file", Page: "docs/files.md"}) {
//		return f.Err()
//	}
//	if into.Paper == "A3" {
//		f.Say(f.Line("", "paper"), "paper is %q; A4 and Letter are allowed", into.Paper)
//	}
//	return f.Err()
package mistake

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"clothwright/phrase"
)

// Problem is one mistake in a file, in one sentence.
type Problem struct {
	File string // as the person calls it
	Line int    // from 1; 0 when the mistake is that something is missing
	Text string
	Said phrase.Said // the same sentence, where it can be said in another language
}

// Error is the sentence with the place in front: "house.toml:3: paper is ...".
func (p Problem) Error() string {
	if p.Line > 0 {
		return fmt.Sprintf("%s:%d: %s", p.File, p.Line, clipped(p.Text))
	}
	return p.File + ": " + clipped(p.Text)
}

// clipped leaves out the middle of a sentence that quotes pages of somebody's file.
func clipped(s string) string {
	const most = 600
	if len(s) <= most {
		return s
	}
	cut := func(s string) string { return strings.ToValidUTF8(s, "") }
	return cut(s[:most/2]) + " … " + cut(s[len(s)-most/2:])
}

// Problems is every mistake that was found, file by file, in the order of the lines; what is missing stands first.
type Problems []Problem

// Error is one sentence a line.
func (ps Problems) Error() string {
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = p.Error()
	}
	return strings.Join(out, "\n")
}

// In returns the mistakes that an error consists of; false when it is an error of another kind, or none.
func In(err error) (Problems, bool) {
	var ps Problems
	ok := errors.As(err, &ps)
	return ps, ok
}

// inOrder sorts by file, in the order in which files were first at fault, then by line. Mistakes of one line keep their order.
func (ps Problems) inOrder() Problems {
	rank := map[string]int{}
	for _, p := range ps {
		if _, met := rank[p.File]; !met {
			rank[p.File] = len(rank)
		}
	}
	out := slices.Clone(ps)
	slices.SortStableFunc(out, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(rank[a.File], rank[b.File]), cmp.Compare(a.Line, b.Line))
	})
	return out
}

// System is what the system says of a file that cannot be read or written ("permission denied"), without the call and the path in
// front; a caller's sentence names the file in its own way. An error that is not the system's is returned as it stands.
func System(err error) string {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err.Error()
	}
	// The system's own codes answer both questions on every platform; package syscall names them, which the pure rooms do not import.
	var code interface {
		error
		Is(error) bool
		Timeout() bool
	}
	if errors.As(err, &code) {
		return code.Error()
	}
	return err.Error()
}
