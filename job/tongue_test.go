package job

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"clothwright/sheet"
	"clothwright/sheet/drawing"
)

// words are all the words of a drawing's pages.
func words(items []drawing.Item) []string {
	var out []string
	for _, it := range items {
		switch v := it.(type) {
		case drawing.Text:
			out = append(out, v.Words)
		case *drawing.Group:
			out = append(out, words(v.Items)...)
		case drawing.Window:
			out = append(out, words(v.Figure.Items)...)
		}
	}
	return out
}

// texts are all the texts in a JSON value.
func texts(v any) []string {
	var out []string
	switch v := v.(type) {
	case string:
		return []string{v}
	case []any:
		for _, e := range v {
			out = append(out, texts(e)...)
		}
	case map[string]any:
		for _, e := range v {
			out = append(out, texts(e)...)
		}
	}
	return out
}

var (
	inches      = regexp.MustCompile(`[0-9] ?in\b|\binch(es)?\b`)
	centimetres = regexp.MustCompile(`[0-9] ?cm\b|\bcentimet`)
	// A difference under a tape's step is said in millimetres with the inches beside it: both are meant.
	both = regexp.MustCompile(`[0-9.]+ mm \([0-9/ ]+ in\)`)
)

// A workroom reads its own tape and no other: what a house with a metric tape is told of a draft has no inch in it, and what one
// with an inch tape is told has no centimetre. Common practice, no source.
func TestOneTongue(t *testing.T) {
	const full = forty + "hip_girth = \"47 in\"\nwaist_girth = \"46 in\"\nback_width = \"16 1/2 in\"\nupper_arm_girth = \"16 in\"\nunderarm_depth = \"8 in\"\n" +
		"nape_to_waist = \"16 in\"\nfront_waist_length = \"18 1/2 in\"\n[left]\nshoulder_slope = 26\narm_length = \"23 in\"\n[right]\nshoulder_slope = 18\narm_length = \"24 in\"\n"
	for _, k := range []struct {
		tape    string
		foreign *regexp.Regexp
	}{{"5 mm", inches}, {"1 cm", inches}, {"1/4 in", centimetres}, {"1/2 in", centimetres}} {
		house := "tape = \"" + k.tape + "\"\n"
		for _, style := range []string{"", "bust_dart = \"side\"\nrib = \"metre\"\nblock = \"sewn-on\"\nzip = \"collar\"\nposture = \"stooped\"\npadding = \"fleece\"", "lining = \"none\"\nfacing = false\nease = \"trim\""} {
			for _, measures := range []string{forty, full} {
				r := cut(t, measures, style, house)
				record, err := r.JSON()
				if err != nil {
					t.Fatal(err)
				}
				var v any
				if err := json.Unmarshal(record, &v); err != nil {
					t.Fatal(err)
				}
				said := texts(v)
				for _, draw := range []func(sheet.Job) (*drawing.Drawing, error){sheet.Chalk, sheet.Order} {
					d, err := draw(r.Sheet())
					if err != nil {
						t.Fatal(err)
					}
					for _, p := range d.Pages {
						said = append(said, words(p.Items)...)
					}
				}
				for _, s := range said {
					if k.foreign.MatchString(both.ReplaceAllString(s, "")) {
						t.Errorf("to a tape of %s is said: %s", k.tape, s)
					}
				}
			}
		}
		// A body on which nothing can be drafted is refused in the same tongue.
		for _, change := range []string{`shoulder_width = "15 in"|shoulder_width = "9 in"`, `body_length = "24 in"|body_length = "13 in"`} {
			was, is, _ := strings.Cut(change, "|")
			src := "garment = \"rib-zip-jacket\"\nhouse = \"house.toml\"\n[measures]\n" + strings.Replace(forty, was, is, 1)
			j, err := Read("test.toml", []byte(src), func(string) ([]byte, error) { return []byte(house), nil })
			if err != nil {
				t.Fatal(err)
			}
			switch _, err := j.Cut(); {
			case err == nil:
				t.Errorf("%s is drafted", is)
			case k.foreign.MatchString(err.Error()):
				t.Errorf("to a tape of %s is said: %s", k.tape, err)
			}
		}
	}
}
