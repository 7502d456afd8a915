package web

import (
	"html"
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"
)

// Words of English that French, Portuguese and Spanish do not have (from memory).
var english = regexp.MustCompile(`(?i)\b(the|of|and|with|which|this|that|from|is|are|measured?|edge|seam|neck|shoulder|hem|sleeve|armhole|left|right|front|back)\b`)

var (
	unread    = regexp.MustCompile(`(?s)<(script|style|head)\b.*?</(script|style|head)>`)
	attribute = regexp.MustCompile(`\b(?:aria-label|title|alt|placeholder)="([^"]*)"`)
	element   = regexp.MustCompile(`(?s)<[^>]*>`)
	fileName  = regexp.MustCompile(`^[a-z-]+\.(pdf|svg|json)$`)
	letters   = regexp.MustCompile(`\pL{2,}`)
)

// read are the texts of a page as they are seen or read aloud.
func (r *room) read(lang, path string) []string {
	r.t.Helper()
	req, err := http.NewRequest("GET", r.url(path), nil)
	if err != nil {
		r.t.Fatal(err)
	}
	req.Header.Set("Accept-Language", lang)
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		r.t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		r.t.Fatalf("%s: %s, %v", path, resp.Status, err)
	}
	page := unread.ReplaceAllString(string(body), "")
	_, page, _ = strings.Cut(page, "<main")
	_, page, _ = strings.Cut(page, ">")
	page, _, _ = strings.Cut(page, "</main>")
	var out []string
	for _, a := range attribute.FindAllStringSubmatch(page, -1) {
		out = append(out, html.UnescapeString(a[1]))
	}
	for _, s := range element.Split(page, -1) {
		if s = strings.TrimSpace(html.UnescapeString(s)); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// A reader of French, Portuguese or Spanish meets no English in what a job's pages say: not on a tape card with a figure that cannot be read and
// one that is doubted, not in findings that say do not cut, not beside any step of the chalk.
func TestNoEnglishOnOtherPages(t *testing.T) {
	r := openRoom(t)
	rec := r.measured()
	card := rec.ID
	change := func(id string, f func(*Record)) {
		t.Helper()
		if err := r.folder.Change(id, func(j *Record) error { f(j); return nil }); err != nil {
			t.Fatal(err)
		}
	}
	change(card, func(j *Record) {
		j.Client, j.Figure = "", "women"
		for n, s := range map[string]string{"hip_girth": "9 1/3", "waist_girth": "60", "height": "5", "elbow_girth": "9 cm 2 in", "shoulder_slope": "steep", "hand_girth": "4 1/4", "back_width": "1,000", "head_girth": "12 kg"} {
			j.Measures[n] = Typed{Text: s}
		}
	})
	rec = r.measured()
	tight := rec.ID
	change(tight, func(j *Record) {
		j.Client = ""
		for n, s := range map[string]string{"chest_girth": "44", "shoulder_width": "16", "waist_girth": "52", "hip_girth": "54", "back_width": "20", "upper_arm_girth": "19", "nape_to_waist": "16", "front_waist_length": "19", "underarm_depth": "10"} {
			j.Measures[n] = Typed{Text: s}
		}
		for _, n := range []string{"may_lower_armhole", "may_widen_quarter", "may_move_side", "may_lower_cap", "may_widen_back", "may_lower_neck"} {
			j.Style[n] = "false"
		}
	})
	rec = r.measured()
	short := rec.ID
	change(short, func(j *Record) { j.Client, j.Measures["body_length"] = "", Typed{Text: "13", Confirmed: true} })
	change(card, func(j *Record) {
		j.Left, j.Right = map[string]Typed{"arm_length": {Text: "ell"}}, map[string]Typed{"wrist_girth": {Text: "70"}}
	})
	change(tight, func(j *Record) {
		j.Kept.Lays = map[string]KeptLay{"shell": {Width: "9 in"}, "lining": {Width: "9 ells"}}
	})
	look := func(lang, path string) (stops int) {
		t.Helper()
		same := map[string]bool{}
		for _, s := range r.read("en", path) {
			same[s] = true
		}
		said := r.read(lang, path)
		if len(said) < 5 {
			t.Fatalf("%s: only %d texts are found on the page", path, len(said))
		}
		for _, s := range said {
			if s == languages[lang].T("level.stop") {
				stops++
			}
			if fileName.MatchString(s) {
				continue
			}
			if found := english.FindString(s); found != "" {
				t.Errorf("%s, %s: %q is English: %q", lang, path, found, s)
			} else if same[s] && len(letters.FindAllString(s, -1)) > 2 {
				t.Errorf("%s, %s: it says what the English page says: %q", lang, path, s)
			}
		}
		return stops
	}
	for _, lang := range []string{"fr", "pt", "es"} {
		look(lang, "/jobs/"+card+"/measure")
		if look(lang, "/jobs/"+tight+"/design") == 0 {
			t.Errorf("%s: no finding says do not cut, so none was read", lang)
		}
		look(lang, "/jobs/"+short+"/design")
		look(lang, "/jobs/"+tight+"/lay/shell")
		look(lang, "/jobs/"+tight+"/lay/lining")
		look(lang, "/jobs/"+tight+"/table")
		look(lang, "/jobs/"+tight+"/sheets")
	}
	if c, err := r.server.cut(func() *Record { j, _ := r.folder.Load(short); return j }()); err != nil || c.err == nil {
		t.Errorf("the short jacket was drafted, so that no refusal was read (%v)", err)
	}
	c, err := r.server.cut(func() *Record { j, _ := r.folder.Load(tight); return j }())
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	for _, p := range c.result.Pattern.Pieces {
		for n := range p.Steps {
			if n%3 != 0 && n != len(p.Steps)-1 {
				continue // one page shows all marks before it; every third keeps this short
			}
			change(tight, func(j *Record) { j.Kept.Steps = map[string]int{p.Name: n} })
			for _, lang := range []string{"fr", "pt", "es"} {
				look(lang, "/jobs/"+tight+"/table/"+p.Name)
			}
			if t.Failed() {
				return
			}
		}
	}
}
