package web

import (
	"embed"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"

	"clothwright/body"
	"clothwright/phrase"
)

// What the rooms below say in English, in other languages: one file a language, from an English pattern to the sentence, or from an
// English name to the name. Its tables only part it for the eye.
//
//go:embed words/said/*.toml
var saidFiles embed.FS

// readSaid reads the file of a language; nil when it has none.
func readSaid(lang string) map[string]string {
	src, err := saidFiles.ReadFile("words/said/" + lang + ".toml")
	if err != nil {
		return nil
	}
	var tables map[string]map[string]string
	if err := toml.Unmarshal(src, &tables); err != nil {
		panic(fmt.Sprintf("words/said/%s.toml: %v", lang, err))
	}
	out := map[string]string{}
	for name, rows := range tables {
		for english, s := range rows {
			if _, twice := out[english]; twice {
				panic(fmt.Sprintf("words/said/%s.toml: %q stands in [%s] and in another table", lang, english, name))
			}
			out[english] = s
		}
	}
	return out
}

// Say says a sentence in the language, or in English where the language does not have its pattern.
func (w *Words) Say(s phrase.Said) string {
	if w.phrases == nil {
		return s.String()
	}
	if len(s.With) == 0 {
		if said, ok := w.name(s.Pattern); ok {
			return said
		}
		return s.Pattern
	}
	pattern, ok := w.phrases[s.Pattern]
	if !ok {
		return s.String()
	}
	with := make([]string, len(s.With))
	for i, x := range s.With {
		with[i] = w.Say(x)
	}
	return phrase.Fill(pattern, with)
}

// SayError says an error in the language, where it is one that can be.
func (w *Words) SayError(err error) string { return w.Say(phrase.From(err)) }

// Call says what a garment's script calls a piece, mark, line, edge or seam.
func (w *Words) Call(name string) string {
	if w.phrases != nil {
		if said, ok := w.name(name); ok {
			return said
		}
	}
	return plainName(name)
}

// piece is what a piece is called.
func (w *Words) piece(name, title string) string { return w.Or("piece."+name, w.Call(title)) }

// measure is what a measure is called.
func (w *Words) measure(m body.Measure) string {
	return w.Or("measure."+string(m.Name), w.Call(m.Title))
}

// name looks up a name as English has it, as a script spells it, or by its parts: "hem, right", "front_right", "front.side".
func (w *Words) name(s string) (string, bool) {
	if said, ok := w.phrases[s]; ok {
		return said, true
	}
	small := lowerFirst(s)
	if said, ok := w.phrases[small]; ok {
		return upperFirst(said), true
	}
	if said, ok := w.said[measureKeys[small]]; ok {
		if small == s {
			said = lowerFirst(said)
		}
		return said, true
	}
	if said, ok := w.said["piece."+s]; ok && !strings.Contains(s, " ") {
		return lowerFirst(said), true
	}
	if said, ok := w.said["material."+small]; ok {
		if small == s {
			return lowerFirst(said), true
		}
		return upperFirst(said), true
	}
	if i := strings.LastIndex(s, ", "); i > 0 {
		return w.both(s[:i], s[i+2:], ", ")
	}
	if a, b, ok := strings.Cut(s, "."); ok {
		return w.ref(a, b)
	}
	for _, side := range []string{"_right", "_left"} {
		if base, ok := strings.CutSuffix(s, side); ok {
			return w.both(base, side[1:], ", ")
		}
	}
	if plain := plainName(s); plain != s {
		return w.name(plain)
	}
	return "", false
}

func (w *Words) both(a, b, between string) (string, bool) {
	x, okX := w.name(a)
	y, okY := w.name(b)
	return x + between + y, okX && okY
}

// ref names an edge of a piece.
func (w *Words) ref(piece, edge string) (string, bool) {
	p, okP := w.name(piece)
	e, okE := w.said["edge."+edge]
	if !okE {
		e, okE = w.name(edge)
	}
	pattern, ok := w.phrases["{1}.{2}"]
	return phrase.Fill(pattern, []string{p, e}), ok && okP && okE
}

// measureKeys are the keys of the measures by what English calls them inside a sentence, and by their names.
var measureKeys = func() map[string]string {
	out := map[string]string{}
	for _, m := range body.Measures {
		out[lowerFirst(m.Title)] = "measure." + string(m.Name)
		out[string(m.Name)] = "measure." + string(m.Name)
	}
	return out
}()

func lowerFirst(s string) string { return withFirst(s, unicode.ToLower) }
func upperFirst(s string) string { return withFirst(s, unicode.ToUpper) }

func withFirst(s string, how func(rune) rune) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError {
		return s
	}
	return string(how(r)) + s[n:]
}
