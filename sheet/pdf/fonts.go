package pdf

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"clothwright/sheet/text"

	"codeberg.org/go-pdf/fpdf"
)

// noDate stands where the library writes a date; dress takes it out again.
var noDate = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// The library has no place for viewer preferences. They are put, byte for byte, where it writes the document's
// language, which is not known here anyway: names and notes come in the client's.
const preferences = "/ViewerPreferences <</PrintScaling /None>>"

var placeForPreferences = strings.Repeat("-", len(preferences)-len("/Lang ()"))

// postScript are the faces' names inside a PDF file.
var postScript = [text.Faces]string{"DejaVuSans", "DejaVuSans-Bold", "DejaVuSansMono"}

// family is the name under which the library knows a face. It writes it with "utf8" before it, which makes it as long as
// a subset tag and the PostScript name that dress puts in its place.
func family(f text.Face) string {
	stem := fmt.Sprintf("face%d", f)
	return stem + strings.Repeat("x", len("ABCDEF+")+len(postScript[f])-len("utf8")-len(stem))
}

// fonts keeps which faces a file uses, by which name, and for which runes.
type fonts struct {
	names [text.Faces]string
	used  [text.Faces]map[rune]bool
}

var fontName = regexp.MustCompile(`/(F[0-9a-f]+) `)

// name returns the resource name of a face, loading it into the file on first use. The library keeps that name to
// itself, so it is read off a scrap of text that is never placed.
func (k *fonts) name(f *fpdf.Fpdf, face text.Face) string {
	if k.names[face] != "" {
		return k.names[face]
	}
	f.AddUTF8FontFromBytes(family(face), "", face.TTF())
	scrap := f.CreateTemplateCustom(fpdf.PointType{}, fpdf.SizeType{Wd: 1, Ht: 1}, func(t *fpdf.Tpl) { t.SetFont(family(face), "", 1) })
	found := fontName.FindSubmatch(scrap.Bytes())
	if found == nil {
		panic("pdf: the library no longer names fonts as /F…")
	}
	k.names[face], k.used[face] = string(found[1]), map[rune]bool{}
	return k.names[face]
}

// hex returns s as the file's fonts code it, two bytes a rune, and remembers its runes for the subset. The face must
// have been named before.
func (k *fonts) hex(face text.Face, s string) string {
	var out strings.Builder
	for _, r := range s {
		k.used[face][r] = true
		fmt.Fprintf(&out, "%04X", r)
	}
	return out.String()
}

// runes are the runes used of a face, sorted.
func (k *fonts) runes(face int) []rune {
	var out []rune
	for r := range k.used[face] {
		out = append(out, r)
	}
	slices.Sort(out)
	return out
}

// register tells the library which runes to keep, again by a scrap of text that is never placed.
func (k *fonts) register(f *fpdf.Fpdf) {
	for i := range k.names {
		if k.names[i] == "" {
			continue
		}
		f.CreateTemplateCustom(fpdf.PointType{}, fpdf.SizeType{Wd: 1, Ht: 1}, func(t *fpdf.Tpl) {
			t.SetFont(family(text.Face(i)), "", 1)
			t.Text(0, 0, string(k.runes(i)))
		})
	}
}

// dress puts right what the library leaves wanting, each by bytes of the same length so that the table of positions
// stays true: subset tags on font names (ISO 32000-1, 9.6.4), no dates, viewer preferences, and the version they need.
func (k *fonts) dress(b []byte) []byte {
	swap := func(old, now string) {
		b = bytes.ReplaceAll(b, []byte(old), []byte(fmt.Sprintf("%-*s", len(old), now)))
	}
	for i := range k.names {
		if k.names[i] != "" {
			swap("/utf8"+family(text.Face(i)), "/"+tag(k.runes(i))+"+"+postScript[i])
		}
	}
	date := noDate.Format("20060102150405")
	swap("/CreationDate (D:"+date+")", "")
	swap("/ModDate (D:"+date+")", "")
	swap("/Lang ("+placeForPreferences+")", preferences)
	swap("%PDF-1.3\n", "%PDF-1.6\n")
	return b
}

// tag is six capital letters that depend on the runes of a subset and nothing else.
func tag(runes []rune) string {
	sum := sha256.Sum256([]byte(string(runes)))
	out := make([]byte, 6)
	for i := range out {
		out[i] = 'A' + sum[i]%26
	}
	return string(out)
}

// basic replaces runes that two bytes cannot code by U+FFFD.
func basic(s string) string {
	return strings.Map(func(r rune) rune {
		if r > 0xFFFF {
			return '\uFFFD'
		}
		return r
	}, text.Clean(s))
}
