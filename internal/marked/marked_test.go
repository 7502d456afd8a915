package marked

import (
	"os"
	"path/filepath"
	"testing"
)

// A page is for people: what they wrote stays to the byte, however often a program writes its part.
func TestWrite(t *testing.T) {
	page := filepath.Join(t.TempDir(), "page.md")
	const head, tail = "# Title\r\n\nBy hand.\n<!-- a, written by x: begin -->\n", "<!-- a: end -->\nMore by hand.\n<!-- b: end -->"
	if err := os.WriteFile(page, []byte(head+"old\n"+tail), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"| 1 |\n", "\n| 1 |\n\n", "| 1 |"} {
		p, err := Find(page, "a", "x")
		if err != nil {
			t.Fatal(err)
		}
		if err := p.Write(text); err != nil {
			t.Fatal(err)
		}
		if got, _ := os.ReadFile(page); string(got) != head+"\n| 1 |\n\n"+tail {
			t.Errorf("%q makes\n%s", text, got)
		}
	}
	for _, missing := range []string{"b", "c"} {
		if _, err := Find(page, missing, "x"); err == nil {
			t.Errorf("the marks of %s are found", missing)
		}
	}
	if _, err := Find(page+".none", "a", "x"); err == nil {
		t.Error("a page that is not there is found")
	}
}
