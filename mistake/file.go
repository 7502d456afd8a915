package mistake

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
)

// Most is the size up to which a file is read, in bytes. No file written by hand comes near it.
const Most = 1 << 20

// File is a file that a person wrote, and what is found wrong in it while it is read.
type File struct {
	Name  string // as the person calls it
	Src   []byte
	Found Problems
}

// Kind is what a file is to be, for the sentences of [File.Decode].
type Kind struct {
	What   string // with its article: "a job file"
	Page   string // that says what it may hold: "docs/files.md"
	Values string // how values are written, for one of the wrong kind: `amounts are texts, as "14.50"`; may be empty
}

// Say adds a mistake; line is 0 when something is missing.
func (f *File) Say(line int, format string, a ...any) {
	f.Found = append(f.Found, Problem{File: f.Name, Line: line, Text: fmt.Sprintf(format, a...)})
}

// Err is what was found, in the order of files and lines, as a [Problems]; nil when nothing was.
func (f *File) Err() error {
	if len(f.Found) == 0 {
		return nil
	}
	return f.Found.inOrder()
}

// Decode reads the file as TOML into v, which has a place for every key that is allowed. It reports whether it could; if
// not, it has said why.
func (f *File) Decode(v any, k Kind) bool {
	if len(f.Src) > Most {
		f.Say(0, "the file is larger than %d kB, which is all that is allowed", Most>>10)
		return false
	}
	if line, ok := f.notText(); ok {
		f.Say(line, "%s is text in UTF-8, and this is not: save it as plain text", k.What)
		return false
	}
	d := toml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(f.Src, byteOrderMark)))
	d.DisallowUnknownFields()
	err := d.Decode(v)
	var unknown *toml.StrictMissingError
	var bad *toml.DecodeError
	switch {
	case err == nil:
		return true
	case errors.As(err, &unknown):
		for _, e := range unknown.Errors {
			row, _ := e.Position()
			f.Say(row, "%s has no key %q; see %s for what it may hold", k.What, strings.Join(e.Key(), "."), k.Page)
		}
	case errors.As(err, &bad):
		row, _ := bad.Position()
		f.Say(row, "%s cannot be read here: %s", k.What, k.plainly(bad))
	default:
		f.Say(0, "%s cannot be read: %s", k.What, k.plainly(err))
	}
	return false
}

// byteOrderMark stands at the front of a text that some editors save; it says nothing.
var byteOrderMark = []byte("\ufeff")

// notText finds the line of the first byte that no text has: none of UTF-8, or a zero.
func (f *File) notText() (line int, found bool) {
	for at := 0; at < len(f.Src); {
		r, n := utf8.DecodeRune(f.Src[at:])
		if r == 0 || r == utf8.RuneError && n == 1 {
			return 1 + bytes.Count(f.Src[:at], []byte("\n")), true
		}
		at += n
	}
	return 0, false
}

// plainly keeps the library's and Go's words for types out of a sentence.
func (k Kind) plainly(err error) string {
	s := strings.TrimPrefix(err.Error(), "toml: ")
	if strings.Contains(s, "too large to fit") {
		return "the number is too large"
	}
	for _, sign := range []string{"cannot decode", "cannot store", "struct field", "Go ", "interface {}"} {
		if !strings.Contains(s, sign) {
			continue
		}
		s = "the value is of another kind than this key holds"
		if k.Values != "" {
			s += "; " + k.Values
		}
		return s
	}
	return s
}

// Line finds the line of a key in the first table of a name that has it, 0 when it is not there; the empty table is the file's
// beginning. It reads the file as written: keys at the start of a line, tables in brackets, as people write them.
func (f *File) Line(table, key string) int { return f.line(table, key, -1) }

// LineIn is Line in the nth table of a name, from 0, where several are written: [[cloth]].
func (f *File) LineIn(table string, nth int, key string) int { return f.line(table, key, nth) }

func (f *File) line(table, key string, nth int) int {
	in, n := "", -1
	if table == "" {
		n = 0 // the file's beginning has no brackets
	}
	for i, l := range strings.Split(string(bytes.TrimPrefix(f.Src, byteOrderMark)), "\n") {
		l = strings.TrimSpace(l)
		if strings.HasPrefix(l, "[") {
			if in = strings.Trim(strings.SplitN(l, "]", 2)[0], "[] "); in == table {
				n++
			}
			continue
		}
		k, _, ok := strings.Cut(l, "=")
		k = strings.Trim(strings.TrimSpace(k), `"'`)
		if ok && (in == table && k == key && (nth < 0 || n == nth) || in == "" && k == table+"."+key) {
			return i + 1
		}
	}
	return 0
}
