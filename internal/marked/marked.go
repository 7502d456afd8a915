// Package marked writes what a program has measured into a page that people wrote, between two marks that bear its name:
//
//	<!-- benchmarks, written by internal/bench: begin -->
//	<!-- benchmarks: end -->
package marked

import (
	"fmt"
	"os"
	"strings"
)

// Place is the room between two marks of a page.
type Place struct{ page, begin, end string }

// Find looks for the marks of what is written by a program, before it begins to measure. The error is a page that cannot be read or
// does not have both marks.
func Find(page, what, by string) (Place, error) {
	p := Place{page, fmt.Sprintf("<!-- %s, written by %s: begin -->\n", what, by), fmt.Sprintf("<!-- %s: end -->\n", what)}
	_, _, err := p.around()
	return p, err
}

// around is the page before the text between the marks and after it, the marks with it.
func (p Place) around() (before, after string, err error) {
	src, err := os.ReadFile(p.page)
	if err != nil {
		return "", "", err
	}
	before, rest, ok := strings.Cut(string(src), p.begin)
	if !ok {
		return "", "", fmt.Errorf("%s has no line %s", p.page, strings.TrimSpace(p.begin))
	}
	_, after, ok = strings.Cut(rest, p.end)
	if !ok {
		return "", "", fmt.Errorf("%s has no line %s after the one that begins", p.page, strings.TrimSpace(p.end))
	}
	return before + p.begin, p.end + after, nil
}

// Write puts text between the marks in place of what is there, with an empty line on either side, and leaves the rest of the page as
// it is now. The page is the old one or the new one, never a part.
func (p Place) Write(text string) error {
	before, after, err := p.around()
	if err != nil {
		return err
	}
	if err := os.WriteFile(p.page+".new", []byte(before+"\n"+strings.Trim(text, "\n")+"\n\n"+after), 0o644); err != nil {
		return err
	}
	return os.Rename(p.page+".new", p.page)
}
