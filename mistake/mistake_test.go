package mistake

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

var aCard = Kind{What: "a card", Page: "docs/cards.md", Values: `amounts are texts, as "1.50"`}

type card struct {
	Name  string `toml:"name"`
	Age   any    `toml:"age"`
	Cloth []struct {
		Width string `toml:"width"`
		Price string `toml:"price"`
		Flaw  []struct {
			X string `toml:"x"`
		} `toml:"flaw"`
	} `toml:"cloth"`
	Rib struct {
		Seam string `toml:"seam"`
	} `toml:"rib"`
}

// TOML 1.0.0 is UTF-8 text and has no null (toml.io, "Spec" and "Comment"); CRLF ends a line as LF does; a byte order mark at the
// front is one that some editors write (Unicode 15, 23.8). The sentence names file, line and what is allowed.
func TestDecode(t *testing.T) {
	for _, k := range []struct{ what, src, want string }{
		{"empty", "", ""},
		{"byte order mark", "\ufeffname = \"a\"\n", ""},
		{"CRLF", "name = \"a\"\r\n[[cloth]]\r\nwidth = \"45 in\"\r\n", ""},
		{"a key of no card", "name = \"a\"\ncolour = 3\n", `c.toml:2: a card has no key "colour"; see docs/cards.md for what it may hold`},
		{"a number for a text", "\n[[cloth]]\nprice = 3\n", `c.toml:3: a card cannot be read here: the value is of another kind than this key holds; amounts are texts, as "1.50"`},
		{"a text for a table", "rib = \"wide\"\n", `c.toml:1: a card cannot be read here: the value is of another kind than this key holds; amounts are texts, as "1.50"`},
		{"a number beyond all", "age = 99999999999999999999999\n", "c.toml:1: a card cannot be read here: the number is too large"},
		{"a zero byte", "name = \"a\"\n\x00", "c.toml:2: a card is text in UTF-8, and this is not: save it as plain text"},
		{"UTF-16", "\xff\xfen\x00a\x00", "c.toml:1: a card is text in UTF-8, and this is not: save it as plain text"},
		{"Latin 1", "name = \"a\"\n# gr\xfcn\n", "c.toml:2: a card is text in UTF-8, and this is not: save it as plain text"},
		{"too much", strings.Repeat("#\n", Most), "c.toml: the file is larger than 1024 kB, which is all that is allowed"},
	} {
		f := File{Name: "c.toml", Src: []byte(k.src)}
		var c card
		got := ""
		ok := f.Decode(&c, aCard)
		if err := f.Err(); err != nil {
			got = err.Error()
		}
		if got != k.want || ok != (got == "") {
			t.Errorf("%s: decoded %t, it is said\n%s\nwant\n%s", k.what, ok, got, k.want)
		}
	}
	f := File{Name: "c.toml", Src: []byte("name =\n")}
	if f.Decode(&card{}, aCard) || f.Found[0].Line != 1 {
		t.Errorf("half a line: %v", f.Found)
	}
}

// The line of a key as an editor counts it.
func TestLine(t *testing.T) {
	f := File{Src: []byte("\ufeffname = \"a\"\r\n\"quoted\" = 1\nrib.seam = 2\n[[cloth]]\nwidth = 3\n[[ cloth.flaw ]]\nx = 4\n[[cloth]] # the second\n  price = 5\nwidth=6\n[[cloth.flaw]]\nx = 7\n")}
	for _, k := range []struct {
		table string
		nth   int // -1 for the first that has the key
		key   string
		want  int
	}{
		{"", -1, "name", 1}, {"", 0, "name", 1}, {"", -1, "quoted", 2}, {"rib", -1, "seam", 3},
		{"cloth", -1, "width", 5}, {"cloth", 0, "width", 5}, {"cloth", 1, "width", 10}, {"cloth", -1, "price", 9}, {"cloth", 0, "price", 0},
		{"cloth.flaw", 0, "x", 7}, {"cloth.flaw", 1, "x", 12}, {"cloth", 2, "width", 0}, {"", -1, "x", 0}, {"other", -1, "name", 0},
	} {
		got := f.Line(k.table, k.key)
		if k.nth >= 0 {
			got = f.LineIn(k.table, k.nth, k.key)
		}
		if got != k.want {
			t.Errorf("%s %d, %s: line %d; want %d", k.table, k.nth, k.key, got, k.want)
		}
	}
}

// Mistakes stand file by file and line by line, however they were found.
func TestErr(t *testing.T) {
	f := File{Name: "job.toml"}
	if f.Err() != nil {
		t.Error("nothing was found, and that is an error")
	}
	f.Say(9, "nine")
	f.Found = append(f.Found, Problem{File: "house.toml", Line: 4, Text: "four"}, Problem{File: "house.toml", Line: 2, Text: "two"})
	f.Say(3, "three")
	f.Say(3, "three again")
	f.Say(0, "missing")
	err := fmt.Errorf("the job: %w", f.Err())
	ps, ok := In(err)
	const want = "job.toml: missing\njob.toml:3: three\njob.toml:3: three again\njob.toml:9: nine\nhouse.toml:2: two\nhouse.toml:4: four"
	if !ok || ps.Error() != want {
		t.Errorf("%t\n%v\nwant\n%s", ok, ps, want)
	}
	if _, ok := In(errors.New("of another kind")); ok {
		t.Error("an error of another kind is taken for mistakes")
	}
}

// A sentence that quotes a megabyte of somebody's file is still a sentence: its beginning and its end are there.
func TestLongQuotation(t *testing.T) {
	f := File{Name: "job.toml"}
	f.Say(3, "job is %q; one line is allowed", strings.Repeat("ẹ", 1<<19))
	if s := f.Err().Error(); len(s) > 700 || !strings.HasPrefix(s, `job.toml:3: job is "ẹẹ`) || !strings.HasSuffix(s, `ẹ"; one line is allowed`) || !utf8.ValidString(s) {
		t.Errorf("%d bytes: %s", len(s), s)
	}
}

// The system's own words are those of errno(3), without call or path.
func TestSystem(t *testing.T) {
	dir := t.TempDir()
	_, missing := os.ReadFile(filepath.Join(dir, "none"))
	renamed := os.Rename(filepath.Join(dir, "none"), filepath.Join(dir, "other")) // an os.LinkError
	for _, err := range []error{missing, renamed, fmt.Errorf("in a sentence: %w", missing)} {
		if s := System(err); strings.Contains(s, dir) || strings.ContainsAny(s, ":/") || !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%v is said as %q", err, s)
		}
	}
	if s := System(errors.New("a sentence of its own")); s != "a sentence of its own" {
		t.Error(s)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte("name = \"a\"\n[[cloth]]\nwidth = \"3\""))
	f.Add([]byte("\xef\xbb\xbfrib = 3\r\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		file := File{Name: "c", Src: src}
		var c card
		if ok := file.Decode(&c, aCard); ok != (file.Err() == nil) {
			t.Errorf("decoded %t, and it is said: %v", ok, file.Err())
		}
		lines := strings.Count(string(src), "\n") + 1
		for _, p := range file.Found {
			if p.Line < 0 || p.Line > lines || strings.ContainsAny(p.Text, "\n\r") || strings.Contains(p.Text, "struct") {
				t.Errorf("line %d of %d: %q", p.Line, lines, p.Text)
			}
		}
	})
}
