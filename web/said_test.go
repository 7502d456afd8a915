package web

import (
	"context"
	"fmt"
	"go/ast"
	"go/parser"
	gotoken "go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"go.starlark.net/syntax"

	"clothwright/body"
	"clothwright/garments"
	"clothwright/job"
	"clothwright/lay"
	"clothwright/phrase"
)

// rooms are the folders whose sentences the pages show.
var rooms = []string{"tape", "body", "piece", "truing", "lay", "draft", "job", "cost", "web", "phrase"}

// saidInGo gathers every pattern of phrase.Of and every phrase.Word from the source, with the place where it stands.
func saidInGo(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, room := range rooms {
		files, err := filepath.Glob("../" + room + "/*.go")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") || strings.HasSuffix(name, "_templ.go") {
				continue
			}
			set := gotoken.NewFileSet()
			f, err := parser.ParseFile(set, name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				if lit, ok := n.(*ast.CompositeLit); ok && room != "piece" {
					if sel, ok := lit.Type.(*ast.SelectorExpr); ok && sel.Sel.Name == "Finding" && len(lit.Elts) > 0 {
						at := set.Position(lit.Pos())
						t.Errorf("%s:%d: a finding is made by piece.Found, so that its text and its phrase cannot disagree", at.Filename, at.Line)
					}
				}
				call, ok := n.(*ast.CallExpr)
				if !ok || len(call.Args) == 0 {
					return true
				}
				var verb string
				switch fn := call.Fun.(type) {
				case *ast.SelectorExpr:
					if p, ok := fn.X.(*ast.Ident); ok && p.Name == "phrase" {
						verb = fn.Sel.Name
					}
				case *ast.Ident:
					if room == "phrase" {
						verb = fn.Name
					}
				}
				if verb != "Of" && verb != "Word" {
					return true
				}
				at := set.Position(call.Pos())
				lit, ok := call.Args[0].(*ast.BasicLit)
				if !ok {
					if at.Filename != "../draft/phrases.go" { // the script's own, gathered from the scripts
						t.Errorf("%s:%d: the pattern is not written out where it is said, so nobody can translate it", at.Filename, at.Line)
					}
					return true
				}
				pattern, err := strconv.Unquote(lit.Value)
				if err != nil {
					t.Fatal(err)
				}
				if verb == "Of" {
					// fmt's own count of what is wanted: go vet does not see through phrase.Of.
					dummies := make([]any, len(call.Args)-1)
					for i := range dummies {
						dummies[i] = phrase.Plain("x")
					}
					said := phrase.Of(pattern, dummies...)
					if len(said.With) != len(dummies) || strings.Contains(said.Pattern, "%!") {
						t.Errorf("%s:%d: %q has %d places and %d values are given", at.Filename, at.Line, pattern, len(said.With), len(dummies))
					}
					pattern = said.Pattern
				}
				out[pattern] = fmt.Sprintf("%s:%d", at.Filename, at.Line)
				return true
			})
		}
	}
	return out
}

// saidInScript gathers what a garment's script may say from its syntax: reasons, refusals, findings, how the cloth lies.
func saidInScript(t *testing.T, name string) map[string]string {
	t.Helper()
	src, ok := garments.Script(name)
	if !ok {
		t.Fatalf("no garment %q", name)
	}
	f, err := syntax.Parse(name+"/draft.star", src, 0)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	add := func(s string, at syntax.Position) { out[s] = fmt.Sprintf("%s:%d", name, at.Line) }
	var texts func(e syntax.Expr)
	texts = func(e syntax.Expr) {
		switch e := e.(type) {
		case *syntax.Literal:
			if s, ok := e.Value.(string); ok && s != "" {
				add(s, e.TokenPos)
			}
		case *syntax.CondExpr:
			texts(e.True)
			texts(e.False)
		case *syntax.IndexExpr:
			texts(e.X)
		case *syntax.DictExpr:
			for _, x := range e.List {
				texts(x.(*syntax.DictEntry).Value)
			}
		case *syntax.ParenExpr:
			texts(e.X)
		case *syntax.BinaryExpr:
			if e.Op == syntax.PERCENT || e.Op == syntax.PLUS {
				at, _ := e.Span()
				t.Errorf("%s:%d: a text put together with %s cannot be translated; write phrase(text, ...), or the whole text twice", name, at.Line, e.Op)
			}
		}
	}
	syntax.Walk(f, func(n syntax.Node) bool {
		if a, ok := n.(*syntax.AssignStmt); ok {
			if id, ok := a.LHS.(*syntax.Ident); ok && (id.Name == "why" || id.Name == "flat") {
				texts(a.RHS)
			}
		}
		call, ok := n.(*syntax.CallExpr)
		if !ok {
			return true
		}
		fn := ""
		if id, ok := call.Fn.(*syntax.Ident); ok {
			fn = id.Name
		}
		for i, a := range call.Args {
			if kw, ok := a.(*syntax.BinaryExpr); ok && kw.Op == syntax.EQ {
				switch key := kw.X.(*syntax.Ident).Name; {
				case key == "why", key == "cloth", key == "from_edge", key == "line", key == "note" && fn == "notion":
					texts(kw.Y)
				}
				continue
			}
			if fn == "phrase" && i == 0 {
				if lit, ok := a.(*syntax.Literal); ok {
					dummies := make([]any, strings.Count(strings.ReplaceAll(lit.Value.(string), "%%", ""), "%"))
					for k := range dummies {
						dummies[k] = phrase.Plain("x")
					}
					add(phrase.Of(lit.Value.(string), dummies...).Pattern, lit.TokenPos)
				}
			}
			if fn == "refuse" && i == 0 || fn == "adjusted" && i == 3 || fn == "say" && i == 2 {
				texts(a)
			}
		}
		return true
	})
	return out
}

// twelve is a tape card with all that a jacket asks for, and uneven the same with a low left shoulder and a longer left arm.
const (
	twelve = `format = 1
garment = "rib-zip-jacket"
unit = "in"
[measures]
chest_girth = 40
shoulder_width = 18
body_length = 26
arm_length = 24
wrist_girth = 7
hand_girth = 9
neck_base_girth = 16
waist_girth = 33
hip_girth = 41
back_width = 14
nape_to_waist = 16.5
underarm_depth = 6.25
upper_arm_girth = 12
`
	uneven = twelve + `front_waist_length = 18.5
[left]
shoulder_slope = 21
arm_length = 24.5
[right]
shoulder_slope = 17
`
	// The low shoulder and the stronger arm on the other side.
	mirrored = twelve + `[left]
shoulder_slope = 17
upper_arm_girth = 19
[right]
shoulder_slope = 21
upper_arm_girth = 20
`
	// Broad in the back, stout, with a strong arm and a thick neck; and small where the rule is large.
	stout = `format = 1
garment = "rib-zip-jacket"
unit = "in"
[measures]
chest_girth = 44
shoulder_width = 16
body_length = 24
arm_length = 23
wrist_girth = 8
hand_girth = 9
neck_base_girth = 19
waist_girth = 52
hip_girth = 54
back_width = 20
nape_to_waist = 16
underarm_depth = 10
front_waist_length = 20
upper_arm_girth = 19
elbow_girth = 15
height = 66
`
	slight = `format = 1
garment = "rib-zip-jacket"
unit = "in"
[measures]
chest_girth = 46
shoulder_width = 17
body_length = 25
arm_length = 22
wrist_girth = 6
underarm_depth = 5
nape_height = 56
biacromial_breadth = 15
`
)

// drafts are results of many kinds: the examples, and odd bodies in styles that differ in every choice.
func drafts(t *testing.T) []*job.Result {
	t.Helper()
	read := func(path string) ([]byte, error) { return os.ReadFile(filepath.Join("../examples/saltmarsh", path)) }
	var out []*job.Result
	cut := func(name, src string) {
		j, err := job.Read(name, []byte(src), read)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		r, err := j.Cut()
		if err != nil {
			t.Logf("%s: %v", name, err)
			return
		}
		out = append(out, r)
	}
	files, err := filepath.Glob("../examples/saltmarsh/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(src), "\n[measures]") {
			cut(f, string(src))
		}
	}
	for i, style := range []string{
		"",
		"block = \"sewn-on\"\npadding = \"fleece\"\nlining = \"none\"\nrib = \"metre\"\ncollar_ends = \"shaped\"\nposture = \"stooped\"\nbust_dart = \"side\"\nfacing = false",
		"block = \"sewn-on\"\nlining = \"plain\"\nrib = \"metre\"\nzip = \"collar\"\nposture = \"erect\"\nbust_dart = \"side\"\nease = \"trim\"",
		"padding = \"fleece\"\ncollar_ends = \"shaped\"\nrib = \"metre\"\nposture = \"erect\"\nfacing = false\nbust_dart = \"side\"\nease = \"roomy\"",
		"may_lower_armhole = false\nmay_raise_armhole = false\nmay_widen_quarter = false\nmay_move_side = false\nmay_lower_cap = false\nmay_widen_back = false\nmay_lower_neck = false\nfront_wider = \"1 in\"",
	} {
		for k, card := range []string{twelve, uneven, mirrored, stout, slight} {
			cut(fmt.Sprintf("style %d, body %d", i, k), card+"[style]\n"+style+"\n")
		}
	}
	return out
}

// namesIn are the names that the pages show of a result: pieces, marks, lines, edges, seams, notches, places, and what was adjusted.
func namesIn(r *job.Result, add func(name string)) {
	p := r.Pattern
	for i := range p.Pieces {
		q := &p.Pieces[i]
		add(q.Title)
		add(q.Name)
		add(q.Start.Line)
		add(q.Start.From)
		add(q.Start.Cloth)
		for k := range q.Edges {
			add(q.Edges[k].Name)
			add(q.Name + "." + q.Edges[k].Name)
		}
		for _, l := range q.Lines {
			add(l.Name)
			add(q.Name + "." + l.Name)
		}
		for _, n := range q.Notches {
			add(n.Name)
		}
		for _, s := range q.Steps {
			add(s.Name)
			if s.Mark != nil {
				add(s.Mark.From)
			}
		}
	}
	for _, s := range p.Seams {
		add(s.Name)
	}
	for _, w := range p.Worn {
		add(w.At)
	}
	for _, n := range p.Notions {
		add(n.Name)
	}
}

// patternsIn are the patterns of a sentence and of all that is put into it.
func patternsIn(s phrase.Said, add func(pattern string, s phrase.Said)) {
	if s.Empty() {
		return
	}
	add(s.Pattern, s)
	for _, w := range s.With {
		patternsIn(w, add)
	}
}

// sentencesIn are the sentences that the pages show of a result.
func sentencesIn(r *job.Result) []phrase.Said {
	var out []phrase.Said
	for _, f := range r.Findings {
		out = append(out, f.Said)
	}
	for i := range r.Pattern.Pieces {
		for _, s := range r.Pattern.Pieces[i].Steps {
			out = append(out, s.Why)
		}
	}
	return out
}

// spoken reports whether a language has a pattern or a name.
func (w *Words) spoken(pattern string) bool {
	if _, ok := w.phrases[pattern]; ok {
		return true
	}
	_, ok := w.name(pattern)
	return ok
}

// figureOnly are what is the same in every language: figures with their units.
var figureOnly = regexp.MustCompile(`^([-–+]?[0-9][0-9 /.,½¼¾⅛⅜⅝⅞-]*( ?(in|cm|mm|m|%|°))?( \([0-9 /]+ in\))?|[0-9./ ]+|)$`)

// Every sentence that the program can say of a job is there in every language that has a file, and so is every name.
func TestEverythingSaidIsTranslated(t *testing.T) {
	wanted := saidInGo(t)
	if len(wanted) < 150 {
		t.Errorf("only %d patterns are found; is the search for them right?", len(wanted))
	}
	script := saidInScript(t, "rib-zip-jacket")
	if len(script) < 60 {
		t.Errorf("only %d texts are found in the script; is the search for them right?", len(script))
	}
	maps.Copy(wanted, script)
	for _, m := range body.Measures {
		wanted[m.Title], wanted[m.How] = "body.Measures", "body.Measures"
	}
	jacket, err := garmentOf("rib-zip-jacket")
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range jacket.Options {
		wanted[o.Help] = "the choice " + o.Name
		if _, elsewhere := languages["fr"].said["option."+o.Name]; !elsewhere {
			wanted[titled(o.Name)] = "the choice " + o.Name
		}
	}
	results := drafts(t)
	for i, r := range results {
		if i%6 == 0 {
			if err := r.Lay(context.Background(), lay.Options{Steps: 500}); err != nil {
				t.Fatal(err)
			}
		}
		for _, p := range r.Plans {
			wanted[p.Cloth.Name] = "a cloth of " + r.Job.File
		}
		namesIn(r, func(name string) {
			if _, ok := wanted[name]; !ok && name != "" {
				wanted[name] = "a name of " + r.Job.File
			}
		})
		for _, s := range sentencesIn(r) {
			patternsIn(s, func(pattern string, said phrase.Said) {
				if _, ok := wanted[pattern]; !ok && !figureOnly.MatchString(pattern) {
					wanted[pattern] = "said of " + r.Job.File
				}
			})
		}
	}
	for _, p := range slices.Sorted(maps.Keys(wanted)) {
		if figureOnly.MatchString(p) {
			continue
		}
		var lack []string
		for _, w := range Languages() {
			if w.phrases != nil && !w.spoken(p) {
				lack = append(lack, w.Lang)
			}
		}
		if len(lack) > 0 {
			t.Errorf("%s lack %q (%s)", strings.Join(lack, ", "), p, wanted[p])
		}
	}
	// What nobody says any more is not kept.
	for _, w := range Languages() {
		for p := range w.phrases {
			if _, said := wanted[p]; !said && !partOf(p, wanted) {
				t.Errorf("words/said/%s.toml has %q, which is said nowhere", w.Lang, p)
			}
		}
	}
}

// partOf reports whether a name is said as a part of another: "right" in "hem, right", "front" in "front.side".
func partOf(name string, wanted map[string]string) bool {
	plain := strings.ReplaceAll(name, " ", "_")
	for p := range wanted {
		for _, part := range strings.FieldsFunc(p, func(r rune) bool { return r == ',' || r == '.' }) {
			part = strings.TrimSpace(part)
			if part == name || part == plain || plainName(part) == name || lowerFirst(part) == name || strings.TrimSuffix(strings.TrimSuffix(part, "_right"), "_left") == plain || "{1}.{2}" == name ||
				strings.HasSuffix(part, "_"+name) {
				return true
			}
		}
		if lowerFirst(p) == name {
			return true
		}
	}
	return false
}

var numbered = regexp.MustCompile(`\{[0-9]+\}`)

// A translation puts in what English puts in, all of it and nothing else.
func TestSaidHoldsTheSamePlaces(t *testing.T) {
	for _, w := range Languages() {
		for english, s := range w.phrases {
			want, got := numbered.FindAllString(english, -1), numbered.FindAllString(s, -1)
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(want, slices.Compact(got)) {
				t.Errorf("words/said/%s.toml, %q: it puts in %v and English %v", w.Lang, english, got, want)
			}
			if strings.TrimSpace(s) == "" {
				t.Errorf("words/said/%s.toml, %q: nothing is said", w.Lang, english)
			}
		}
	}
}

// A finding's English is its pattern filled in, but for the capital and the stop that make it a sentence.
func TestSaidAndTextAgree(t *testing.T) {
	n := 0
	for _, r := range drafts(t) {
		for _, f := range r.Findings {
			n++
			if sentence(f.Text) != sentence(f.Said.String()) {
				t.Errorf("%s: the text is %q and the phrase %q", f.Code, f.Text, f.Said)
			}
		}
	}
	if n < 50 {
		t.Errorf("only %d findings", n)
	}
}
