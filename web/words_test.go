package web

import (
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"

	"clothwright/book"
)

var (
	keyInCode = regexp.MustCompile(`(?:\bT|refusal\{[^,]+,|s\.fail\([^"]*)\(?\s*"([a-z][a-z.]*[a-z])"`)
	placeIn   = regexp.MustCompile(`\{[a-z]+\}`)
)

// English says everything that the pages ask for, so that no page shows a key.
func TestEnglishIsComplete(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	templates, _ := filepath.Glob("*.templ")
	asked := 0
	for _, f := range append(files, templates...) {
		if strings.HasSuffix(f, "_test.go") || strings.HasSuffix(f, "_templ.go") {
			continue
		}
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range keyInCode.FindAllStringSubmatch(string(src), -1) {
			asked++
			if _, ok := languages["en"].said[m[1]]; !ok {
				t.Errorf("%s asks for %q, which words/en.toml does not have", f, m[1])
			}
		}
	}
	if asked < 80 {
		t.Errorf("only %d messages are asked for; is the search for them right?", asked)
	}
}

// A message in another language must be one that English has, or the name of a measure, piece, material or choice, and must hold the
// same places for figures.
func TestOtherLanguagesFitEnglish(t *testing.T) {
	en := languages["en"].said
	for _, w := range Languages() {
		for key, s := range w.said {
			head, _, _ := strings.Cut(key, ".")
			e, ok := en[key]
			if !ok {
				switch head {
				case "edge", "measure", "how", "piece", "material", "option", "help", "choice":
				default:
					t.Errorf("words/%s.toml has %q, which no page asks for", w.Lang, key)
				}
				continue
			}
			got, want := placeIn.FindAllString(s, -1), placeIn.FindAllString(e, -1)
			sort.Strings(got)
			sort.Strings(want)
			if strings.Join(got, "") != strings.Join(want, "") {
				t.Errorf("words/%s.toml, %q: it holds %v and English %v", w.Lang, key, got, want)
			}
		}
	}
}

// RFC 9110, 12.5.4: the browser says which languages its reader prefers; one chosen on the pages counts for more.
func TestTheReadersLanguage(t *testing.T) {
	for _, x := range []struct{ chosen, accept, want string }{
		{"", "", "en"}, {"", "pt-BR,pt;q=0.9,en;q=0.8", "pt"}, {"", "yo,ig;q=0.9,fr;q=0.5", "fr"}, {"es", "fr", "es"}, {"../en", "de", "en"},
	} {
		if got := wordsFor(x.chosen, x.accept).Lang; got != x.want {
			t.Errorf("chosen %q, accepted %q: %s is spoken; %s is wanted", x.chosen, x.accept, got, x.want)
		}
	}
}

// Beside what the table and the sheets say, every language says everything: the book's pages are read by whoever measures.
func TestEveryLanguageIsWhole(t *testing.T) {
	later := map[string]bool{"chalk": true, "paper": true}
	for _, w := range Languages() {
		for key := range languages["en"].said {
			head, _, _ := strings.Cut(key, ".")
			if _, ok := w.said[key]; !ok && !later[head] {
				t.Errorf("words/%s.toml does not say %q", w.Lang, key)
			}
		}
	}
}

// Every state that an order can be in, every table that a farewell counts, every kind of thing on the shelf, every day and month has its word.
func TestWordsOfTheBook(t *testing.T) {
	var keys []string
	for _, s := range book.States() {
		keys = append(keys, "order.state."+s)
	}
	for _, s := range goneTables {
		keys = append(keys, "gone."+s)
	}
	for _, s := range shelfKinds {
		keys = append(keys, "shelf.kind."+s)
	}
	for _, p := range roomPages {
		keys = append(keys, "room.to."+p.name)
	}
	for _, d := range doors {
		keys = append(keys, "door.to."+d.name)
	}
	for i := range 7 {
		keys = append(keys, "day."+strconv.Itoa(i))
	}
	for i := range 12 {
		keys = append(keys, "month."+strconv.Itoa(i+1))
	}
	for _, key := range keys {
		if _, ok := languages["en"].said[key]; !ok {
			t.Errorf("words/en.toml does not say %q", key)
		}
	}
}

// A value is put in whole, even one that looks like a place; a place that nothing is given for stays.
func TestValuesArePutWhole(t *testing.T) {
	for _, x := range []struct{ message, want string }{
		{"{a} of {b}", "{b} of 2"}, {"no place", "no place"}, {"{c} and {a", "{c} and {a"}, {"}{b}{", "}2{"}, {"{a}{a}", "{b}{b}"}, {"", ""},
	} {
		if got := put(x.message, []string{"a", "{b}", "b", "2"}); got != x.want {
			t.Errorf("%q becomes %q; %q is right", x.message, got, x.want)
		}
	}
}
