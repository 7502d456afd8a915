package web

import (
	"bytes"
	"fmt"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"clothwright/lay"
	"clothwright/piece"
	"clothwright/tape"
	"github.com/chromedp/chromedp/kb"
)

// On a phone at the table: the lay is walked to its end by tap, swipe and key; what is done is kept over a reload and a restarted server;
// the figures are the lay plan's, in letters to be read from two metres.
func TestALayIsWalkedToItsEnd(t *testing.T) {
	ctx := openTab(t)
	r, job := laidRoom(t)
	plan, _ := r.planOfShell(job.ID)
	shapes := shapesOf(plan)
	n := len(shapes)
	page := r.url("/jobs/" + job.ID + "/table/lay/shell")
	at := func(k int) step {
		return until(fmt.Sprintf(`document.querySelector(".count").textContent.trim().startsWith("%d of %d")&&document.documentElement.classList.contains("live")&&!document.querySelector(".htmx-request,.htmx-settling,.htmx-swapping")`, k, n))
	}
	do(t, ctx, phone(), open(r.url("/jobs/"+job.ID+"/table")), tap(`a[href$="/table/lay/shell"]`), at(1))
	// A letter's height is a two-hundredth of the distance (a rule of sign makers, from memory), 10 mm at two metres; a capital is 0.7 of
	// its size in these faces, and a CSS inch is 96 px.
	var px float64
	fmt.Sscan(strings.TrimSuffix(text(t, ctx, `getComputedStyle(document.querySelector(".figs b")).fontSize`), "px"), &px)
	if mm := px * 0.7 / 96 * tape.Inch; mm < 10 {
		t.Errorf("the figures' letters are %.1f mm high", mm)
	}
	a, _ := plan.TapePoints(shapes[0])
	house := tape.Tape{Unit: tape.IN, Step: tape.Inch / 8}
	if got, want := text(t, ctx, `[...document.querySelectorAll(".figs b")].slice(0,2).map(b=>b.textContent+" in").join("; ")`), house.Fine(a.Y)+"; "+house.Fine(a.X); got != want {
		t.Errorf("point A is said to lie at %s; the lay plan has %s", got, want)
	}
	do(t, ctx, tap("#go-next"), at(2), swipe(320, 60, 200), at(3), swipe(60, 320, 200), at(2), settle, typeIn(kb.ArrowRight), at(3))
	r.stop()
	r.start()
	do(t, ctx, reload(), at(3), tap("#unit-cm"), until(`document.querySelector(".figs small").textContent.startsWith("cm")`), reload(), at(3))
	if got := text(t, ctx, `document.querySelectorAll(".chalked .there").length+" "+document.querySelectorAll(".chalked .this").length`); got != "2 1" {
		t.Errorf("laid and shown are %s", got)
	}
	for k := 3; k <= n; k++ {
		do(t, ctx, settle, typeIn(kb.ArrowRight))
		if k < n {
			do(t, ctx, at(k+1))
		}
	}
	do(t, ctx, until(`document.querySelector(".count").textContent===`+fmt.Sprintf("%q", languages["en"].T("layout.done"))))
	kept(t, r, "the end of the lay", func(j *Record) bool { return j.Kept.Laid["shell"].N == n })

	// Another lay is begun anew.
	if err := r.folder.Change(job.ID, func(j *Record) error {
		k := j.Kept.Lays["shell"]
		k.Seed = 3
		j.Kept.Lays["shell"] = k
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	r.stop()
	r.start()
	do(t, ctx, open(page), until(`document.querySelector(".count").textContent.trim().startsWith("1 of ")`))
}

// Facts of the trade: on folded cloth a half lies on the fold and pairs are cut through both layers; on open cloth one of a pair is turned
// over; upside down is said.
func TestHowAPieceLiesIsSaid(t *testing.T) {
	r, job := laidRoom(t)
	c, err := r.server.cut(job)
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	w := languages["en"]
	v := &visit{s: r.server, words: w}
	for _, f := range []lay.Fold{lay.Lengthwise, lay.Open} {
		cloth, _, _ := clothOf(job, c.result, "shell")
		cloth.Fold = f
		var held []lay.Held
		shapes, _ := lay.Shapes(worksOf(c.result), cloth, lay.Options{})
		for _, s := range shapes {
			last := s.Poses[len(s.Poses)-1]
			held = append(held, lay.Held{Key: s.Key, Turn: last.Turn, Flipped: last.Flipped})
		}
		p := lay.ByHand(worksOf(c.result), cloth, held, lay.Options{})
		over := 0
		for _, q := range shapesOf(p) {
			said := strings.Join(v.mind(p, q), "\n")
			has := func(key string) bool { return strings.Contains(said, w.T(key)) }
			if !has("layout.footup") {
				t.Errorf("%s, %s lies upside down, and it is said: %s", f, q.Piece, said)
			}
			back := q.Piece == "back"
			if f == lay.Lengthwise && (has("layout.onfold") != back || !has("layout.both")) {
				t.Errorf("folded, of %s it is said: %s", q.Piece, said)
			}
			if f == lay.Open && (has("layout.opened") != back || !has("layout.one")) {
				t.Errorf("open, of %s it is said: %s", q.Piece, said)
			}
			if has("layout.over") {
				over++
			}
		}
		if pairs := 0; f == lay.Open {
			for i := range c.result.Pattern.Pieces {
				if q := &c.result.Pattern.Pieces[i]; q.Material == piece.Shell && q.Pair {
					pairs++
				}
			}
			if over != pairs {
				t.Errorf("%d pairs, %d are turned over", pairs, over)
			}
		}
	}
}

// The lay of a cloth that nobody has searched is the one that is printed, the ready band's too.
func TestEveryClothCanBeLaidOut(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	c, err := r.server.cut(job)
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	laid, err := r.server.laidOut(job, c)
	if err != nil {
		t.Fatal(err)
	}
	user := newClient(t, r.url(""))
	if len(laid.Plans) < 3 {
		t.Fatalf("%d cloths are laid; shell, lining and rib are wanted", len(laid.Plans))
	}
	for _, p := range laid.Plans {
		path := "/jobs/" + job.ID + "/table/lay/" + string(p.Cloth.Material)
		token := user.token(path)
		all := len(shapesOf(p))
		for k := range all {
			_, page, _ := user.send("GET", path, "", nil)
			a, _ := p.TapePoints(shapesOf(p)[k])
			if figure, _ := strings.CutSuffix(c.result.Job.House.Tape.Fine(a.Y), " in"); !strings.Contains(page, "<b>"+figure+"</b>") {
				t.Errorf("%s, no. %d: %s from the end is not on the page", p.Cloth.Name, k+1, figure)
			}
			if status, _, _ := user.send("POST", path, form("token", token, "go", "next", "from", itoa(k+1)), nil); status != 303 {
				t.Fatalf("on from no. %d is answered with %d", k+1, status)
			}
		}
		// A second press that was on its way skips nothing, and beyond the end there is nothing.
		user.send("POST", path, form("token", token, "go", "next", "from", "1"), nil)
		user.send("POST", path, form("token", token, "go", "next"), nil)
		j, _ := r.folder.Load(job.ID)
		if got := j.Kept.Laid[string(p.Cloth.Material)].N; got != all {
			t.Errorf("%s: %d of %d are laid", p.Cloth.Name, got, all)
		}
	}
}

// The figures on the screen are those of the printed lay plan: its PDF is read back by pdftotext (poppler).
func TestTheFiguresAreThePrintedOnes(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed, so the printed plan is not read; on Debian: apt-get install poppler-utils")
	}
	r, job := laidRoom(t)
	c, err := r.server.cut(job)
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	files, err := r.server.print(job, c)
	if err != nil {
		t.Fatal(err)
	}
	printed := ""
	for _, f := range files {
		if f.Name == "lay-plan.pdf" {
			cmd := exec.Command("pdftotext", "-layout", "-", "-")
			cmd.Stdin = bytes.NewReader(f.Bytes)
			out, err := cmd.Output()
			if err != nil {
				t.Fatal(err)
			}
			printed = spelled(string(out))
		}
	}
	laid, err := r.server.laidOut(job, c)
	if err != nil {
		t.Fatal(err)
	}
	v := &visit{s: r.server, words: languages["en"]}
	for _, q := range shapesOf(laid.Plans[0]) {
		var row []string
		for _, p := range v.tapePoints("in", laid, laid.Plans[0], q) {
			row = append(row, p.End, p.Edge)
		}
		want := regexp.MustCompile(`(?m)^.*\b` + itoa(q.N) + `\s.*\s` + strings.Join(row, `\s+`) + `\s*$`)
		if !want.MatchString(printed) {
			t.Errorf("no. %d is said to lie at %v; the printed plan has no such row:\n%s", q.N, row, printed)
		}
	}
}

// spelled writes fraction signs as the screen does: ½ as 1/2, ⁷⁄₁₆ as 7/16.
func spelled(s string) string {
	for sign, plain := range map[string]string{"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"} {
		s = regexp.MustCompile(`(\d)`+sign).ReplaceAllString(s, "$1 "+plain)
		s = strings.ReplaceAll(s, sign, plain)
	}
	s = strings.ReplaceAll(s, "⁄", "/")
	for i, d := range []rune("⁰¹²³⁴⁵⁶⁷⁸⁹") {
		s = strings.ReplaceAll(s, string(d), itoa(i))
	}
	for i, d := range []rune("₀₁₂₃₄₅₆₇₈₉") {
		s = strings.ReplaceAll(s, string(d), itoa(i))
	}
	return s
}

// The same job on the widths that are sold: rows come while the page is looked at; one is chosen, and the job is laid on it.
func TestWidthsAreComparedAndOneIsChosen(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/lay/shell")), click(`a[href$="/widths"]`), until(`document.querySelector("#compare")`), click("#compare"), until(`document.querySelectorAll(".trials tbody tr").length===12&&!document.querySelector(".looking")`))
	rows := text(t, ctx, `[...document.querySelectorAll(".trials tbody tr")].map(r=>r.innerText.replace(/\s+/g," ")).join("\n")`)
	c, err := r.server.cut(job)
	if err != nil {
		t.Fatal(err)
	}
	cloth, _, _ := clothOf(job, c.result, "shell")
	x := r.server.comparisonOf(job.ID, "shell", signOf(c.result, forWidths(cloth)))
	trials, _ := x.now()
	wide := map[float64]float64{}
	for i := range trials {
		q := &trials[i]
		if q.Plan.Laid() && q.Fold == lay.Open {
			wide[q.Width] = q.Plan.Length
		}
	}
	// A fact of the trade: on wider cloth the same pieces take less length.
	if !(wide[914.4] > wide[1143] && wide[1143] > wide[1371.6] && wide[1371.6] > wide[1524]) {
		t.Errorf("by width the open lays take %v", wide)
	}
	if !strings.Contains(rows, languages["en"].T("lay.widths.least")) || !strings.Contains(rows, languages["en"].T("lay.widths.now")) {
		t.Errorf("the rows are\n%s", rows)
	}
	do(t, ctx, click(`button[value="54 open"]`), until(`document.querySelector("#stop")`))
	kept(t, r, "the width and a lay on it", func(j *Record) bool {
		k := j.Kept.Lays["shell"]
		return k.Width == "54" && k.Fold == "open" && k.Steps > 0
	})
	do(t, ctx, click("#stop"), movable, until(`document.querySelector("#width").value==="54"`))
	if p, _ := r.planOfShell(job.ID); p.Cloth.Width != 1371.6 || p.Cloth.Fold != lay.Open {
		t.Errorf("it is laid on %g, %s", p.Cloth.Width, p.Cloth.Fold)
	}
	// The comparison does not depend on which row is chosen; it is still there.
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/lay/shell/widths")), until(`document.querySelectorAll(".trials tbody tr").length===12`))
}

// The pages of laying speak every language whole.
func TestLayingIsSaidInEveryLanguage(t *testing.T) {
	for key := range languages["en"].said {
		if head, _, _ := strings.Cut(key, "."); head != "lay" && head != "layout" && head != "fold" && key != "error.changed" {
			continue
		}
		for _, w := range Languages() {
			if w.said[key] == "" {
				t.Errorf("words/%s.toml does not say %q", w.Lang, key)
			}
		}
	}
	for _, k := range append(handKeys, "layout.fold", "layout.selvedge") {
		if _, ok := languages["en"].said[k]; !ok {
			t.Errorf("the script asks for %q, which words/en.toml does not have", k)
		}
	}
}
