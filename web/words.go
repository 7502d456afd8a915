package web

import (
	"embed"
	"fmt"
	"sort"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

//go:embed words/*.toml
var wordFiles embed.FS

// Words are the words of the pages in one language. What a language does not say is said in English.
type Words struct {
	Lang  string // as in the name of its file: "en"
	Name  string // what the language calls itself
	said  map[string]string
	spare *Words // English
	// What the rooms below say, by their English; nil in English itself.
	phrases map[string]string
}

// languages reads all word files. They are part of the program, so a fault in one is ours.
var languages = func() map[string]*Words {
	out := map[string]*Words{}
	files, err := wordFiles.ReadDir("words")
	if err != nil {
		panic(err)
	}
	for _, f := range files {
		src, err := wordFiles.ReadFile("words/" + f.Name())
		if err != nil {
			panic(err)
		}
		w := &Words{Lang: strings.TrimSuffix(f.Name(), ".toml")}
		if err := toml.Unmarshal(src, &w.said); err != nil {
			panic(fmt.Sprintf("words/%s: %v", f.Name(), err))
		}
		w.Name = w.said["language"]
		if w.Lang != "en" {
			w.phrases = readSaid(w.Lang)
		}
		out[w.Lang] = w
	}
	for _, w := range out {
		if w.Lang != "en" {
			w.spare = out["en"]
		}
	}
	return out
}()

// Languages are all languages there are, English first, then by their names.
func Languages() []*Words {
	var out []*Words
	for _, w := range languages {
		out = append(out, w)
	}
	sort.Slice(out, func(i, j int) bool {
		if (out[i].Lang == "en") != (out[j].Lang == "en") {
			return out[i].Lang == "en"
		}
		return out[i].Name < out[j].Name
	})
	return out
}

// T says the message of a key. Each pair of more is a name and what stands in its place: a pair n and 3 puts 3 where the message
// says {n}.
func (w *Words) T(key string, more ...string) string {
	s, ok := w.said[key]
	if !ok {
		if w.spare != nil {
			return w.spare.T(key, more...)
		}
		return key
	}
	return put(s, more)
}

// put puts values into the places of a message. Every page has hundreds of messages, so they are filled in one walk.
func put(s string, pairs []string) string {
	if len(pairs) == 0 || !strings.Contains(s, "{") {
		return s
	}
	var b strings.Builder
	for {
		from := strings.IndexByte(s, '{')
		to := strings.IndexByte(s[max(from, 0):], '}')
		if from < 0 || to < 0 {
			b.WriteString(s)
			return b.String()
		}
		to += from
		b.WriteString(s[:from])
		value := s[from : to+1] // a place that nothing is given for stays
		for i := 0; i+1 < len(pairs); i += 2 {
			if pairs[i] == s[from+1:to] {
				value = pairs[i+1]
				break
			}
		}
		b.WriteString(value)
		s = s[to+1:]
	}
}

// Or says the message of a key, or the English words given where no language has it: for what garments and measures are called.
func (w *Words) Or(key, english string) string {
	if s, ok := w.said[key]; ok {
		return s
	}
	return english
}

// wordsFor chooses the language: the one asked for, else the first of the browser's that there is, else English.
func wordsFor(chosen, accept string) *Words {
	if w := languages[chosen]; w != nil {
		return w
	}
	for _, part := range strings.Split(accept, ",") {
		tag, _, _ := strings.Cut(part, ";")
		tag, _, _ = strings.Cut(strings.TrimSpace(tag), "-")
		if w := languages[strings.ToLower(tag)]; w != nil {
			return w
		}
	}
	return languages["en"]
}
