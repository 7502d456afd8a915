package web

import (
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/draft"
	"clothwright/piece"
	"clothwright/truing"
)

// spoil makes one thing wrong with a pattern.
type spoil struct {
	code string // the kind of finding it must give
	do   func(p *piece.Pattern)
}

// Every kind of finding that truing has, brought about in the jacket, shows something in the pictures when it is pressed.
func TestEveryFindingShowsWhatItMeans(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	job.Style["padding"] = "fleece"
	seam := func(p *piece.Pattern, name string) *piece.Seam {
		for i := range p.Seams {
			if strings.HasPrefix(p.Seams[i].Name, name) {
				return &p.Seams[i]
			}
		}
		t.Fatalf("no seam begins with %s", name)
		return nil
	}
	front := func(p *piece.Pattern) *piece.Piece { return p.Piece("front") }
	edge := func(p *piece.Pattern, name string) *piece.Edge { return front(p).Edge(name) }
	tries := []spoil{
		{"open", func(p *piece.Pattern) { p.Seams = p.Seams[1:] }},
		{"twice", func(p *piece.Pattern) { p.Seams = append(p.Seams, p.Seams[0]) }},
		{"pairs", func(p *piece.Pattern) { front(p).Count = 6 }},
		{"ref", func(p *piece.Pattern) { p.Seams[0].A = []piece.Ref{"front.nowhere"} }},
		{"ref", func(p *piece.Pattern) { front(p).Notches[0].Edge = "nowhere" }},
		{"name", func(p *piece.Pattern) { edge(p, "armhole").Name = "side" }},
		{"material", func(p *piece.Pattern) { front(p).Material = "" }},
		{"count", func(p *piece.Pattern) { front(p).Count = 0 }},
		{"fold", func(p *piece.Pattern) { p.Piece("back").OnFold = false }},
		{"fold", func(p *piece.Pattern) {
			h := p.Piece("back").Edge("hem")
			a, z := h.Path.Start(), h.Path.End()
			h.Path = curve.Polyline(a, a.Lerp(z, 0.5).Add(curve.Point{Y: 15}), z)
		}},
		{"outline", func(p *piece.Pattern) { e := edge(p, "side"); e.Path = e.Path.Move(curve.Point{X: 30}) }},
		{"tiny", func(p *piece.Pattern) {
			f := front(p)
			e := f.Edge("side")
			a, b := e.Path.Split(e.Length() - 1)
			for i := range f.Edges {
				if f.Edges[i].Name == "side" {
					e.Path = a
					rest := piece.Edge{Name: "slip", Path: b, Allowance: 10, Finish: piece.Neat}
					f.Edges = append(f.Edges[:i+1:i+1], append([]piece.Edge{rest}, f.Edges[i+1:]...)...)
					return
				}
			}
		}},
		{"grain", func(p *piece.Pattern) { front(p).Grain = [2]curve.Point{} }},
		{"copy", func(p *piece.Pattern) {
			for i := range p.Pieces {
				if p.Pieces[i].CopyOf != "" {
					for k := range p.Pieces[i].Edges {
						p.Pieces[i].Edges[k].Path = p.Pieces[i].Edges[k].Path.Transform(curve.Scale(1.01, 1))
					}
					return
				}
			}
			t.Fatal("no piece is a copy")
		}},
		{"seam", func(p *piece.Pattern) { seam(p, "side").Kind, seam(p, "side").Intended = piece.Eased, 60 }},
		{"notch", func(p *piece.Pattern) { front(p).Notches[0].At = 1e4 }},
		{"notch", func(p *piece.Pattern) { front(p).Notches[0].At += 20 }},
		{"mate", func(p *piece.Pattern) { front(p).Notches[0].Name = "alone" }},
		{"corner", func(p *piece.Pattern) {
			for i := range p.Seams {
				if len(p.Seams[i].Smooth) > 0 {
					p.Seams[i].Smooth = p.Seams[i].Smooth[:1]
					return
				}
			}
		}},
		{"worn", func(p *piece.Pattern) { p.Worn[0].Least = 1e3 }},
		{"zip", func(p *piece.Pattern) { p.Notions = nil }},
		{"zip", func(p *piece.Pattern) {
			for i := range p.Notions {
				p.Notions[i].Length += 100
			}
		}},
	}
	src, err := r.folder.JobFile(job)
	if err != nil {
		t.Fatal(err)
	}
	met := map[string]bool{}
	for _, x := range tries {
		fresh, err := r.server.draft(src)
		if err != nil {
			t.Fatal(err)
		}
		x.do(fresh.Pattern)
		fresh.Findings = truing.True(fresh.Pattern, draft.Standard().Tape)
		pieces := gallery(fresh.Pattern, languages["en"])
		found := false
		for i, f := range findingsOf(fresh, -1, languages["en"]) {
			kind, _, _ := strings.Cut(f.Code, ":")
			found = found || kind == x.code
			met[kind] = true
			d := drafted{lit: findingsOf(fresh, i, languages["en"])[i]}
			lit := 0
			for _, v := range pieces {
				for _, s := range v.Strokes {
					if d.Lit(s) {
						lit++
					}
				}
			}
			if !f.Points() || lit == 0 {
				t.Errorf("%s (%s) shows nothing: edges %q, pieces %q", f.Code, f.Text, f.Edges, f.Pieces)
			}
		}
		if !found {
			t.Errorf("no finding %s came about", x.code)
		}
	}
	for _, c := range truing.Codes {
		if kind, _, _ := strings.Cut(c.Form, ":"); !met[kind] {
			t.Errorf("the finding %s was not tried", c.Form)
		}
	}
}

// From the sheets a finding leads to the design, where what it means is shown; there a press shows it at once, and another puts it out.
func TestAFindingIsShownWhenItIsPressed(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/sheets")), until(`document.documentElement.classList.contains("live")`), click(`a.shows[data-edges]:not([data-edges=""][data-pieces=""])`), until(`location.pathname.endsWith("/design")&&document.querySelector(".lit")`))
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/design")), until(`document.documentElement.classList.contains("live")`))
	links := `[...document.querySelectorAll("a.shows[data-edges]")]`
	for i := range 30 {
		link := links + "[" + itoa(i) + "]"
		if text(t, ctx, "!!"+link) != "true" {
			if i == 0 {
				t.Error("no finding shows anything")
			}
			return
		}
		do(t, ctx, evaluate(link+".click()"))
		wrong := text(t, ctx, `(()=>{const l=`+link+`,e=l.dataset.edges.split(" ").filter(Boolean),p=l.dataset.pieces.split(" ").filter(Boolean),lit=[...document.querySelectorAll(".lit")];
			return lit.length===0?"nothing is lit":lit.some(x=>e.length?!e.includes(x.dataset.edge):!p.includes(x.dataset.piece))?"something else is lit":""})()`)
		if wrong != "" {
			t.Errorf("finding %d: %s", i+1, wrong)
		}
		do(t, ctx, evaluate(link+".click()"))
		if text(t, ctx, `document.querySelectorAll(".lit").length`) != "0" {
			t.Errorf("finding %d: a second press does not put it out", i+1)
		}
	}
}
