package book

import (
	"os"
	"strings"
	"testing"
)

// The page names every state with its moves, and every place a pin may be at.
func TestPage(t *testing.T) {
	src, err := os.ReadFile("../docs/book.md")
	if err != nil {
		t.Fatal(err)
	}
	page := string(src)
	for _, m := range Moves {
		if m.To == nil {
			continue
		}
		if row := "| " + string(m.From) + " | " + join(m.To) + " |"; !strings.Contains(page, row) {
			t.Errorf("docs/book.md has no row %q", row)
		}
	}
	_, table, _ := strings.Cut(page, "## Fittings")
	table, _, _ = strings.Cut(table, "## Promised")
	for _, p := range Places {
		by := p.Measure
		if by == "" {
			by = "by hand"
		}
		if !strings.Contains(table, p.Name) || !strings.Contains(table, by) {
			t.Errorf("docs/book.md does not name %s, carried by %q", p.Name, p.Measure)
		}
	}
}
