package web

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp/kb"

	"clothwright/lay"
	"clothwright/lay/laytest"
	"clothwright/piece"
	"clothwright/tape"
)

// laidRoom is a room with a job whose shell is laid by a short search, as the page's own search keeps it.
func laidRoom(t *testing.T) (*room, *Record) {
	t.Helper()
	r := openRoom(t)
	job := r.measured()
	c, err := r.server.cut(job)
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	cloth, _, ok := clothOf(job, c.result, "shell")
	if !ok {
		t.Fatal("there is no shell")
	}
	if err := r.folder.Change(job.ID, func(j *Record) error {
		j.Kept.Lays = map[string]KeptLay{"shell": {Fold: string(cloth.Fold), Nap: cloth.Nap, Of: signOf(c.result, cloth), Seed: 0, Steps: 600, Length: 1}}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	if job, err = r.folder.Load(job.ID); err != nil {
		t.Fatal(err)
	}
	return r, job
}

// planOfShell is the lay that counts for the shell now.
func (r *room) planOfShell(id string) (*lay.Plan, []lay.Work) {
	r.t.Helper()
	job, err := r.folder.Load(id)
	if err != nil {
		r.t.Fatal(err)
	}
	c, err := r.server.cut(job)
	if err != nil || c.err != nil {
		r.t.Fatal(err, c.err)
	}
	cloth, _, _ := clothOf(job, c.result, "shell")
	p, _ := r.server.planOf(job, c, cloth)
	if p == nil {
		r.t.Fatal("there is no lay")
	}
	return p, worksOf(c.result)
}

// handOf is where a shape is kept to lie.
func (r *room) handOf(id, piece string) (HandPlace, bool) {
	job, err := r.folder.Load(id)
	if err != nil {
		return HandPlace{}, false
	}
	for _, q := range job.Kept.Lays["shell"].Hand {
		if q.Piece == piece {
			return q, true
		}
	}
	return HandPlace{}, false
}

var movable = until(`document.querySelector("#hand.live")`)

// sent waits until the server has what was moved.
var sent = until(`!Object.keys(sessionStorage).some(k=>k.startsWith("moved "))`)

func shape(piece string) string { return fmt.Sprintf(`[data-shape="%s 0 0"]`, piece) }

// middle is where a piece's number stands on the screen, after bringing it into view.
func middle(t *testing.T, ctx context.Context, piece string) (x, y float64) {
	t.Helper()
	s := text(t, ctx, fmt.Sprintf(`(()=>{const e=document.querySelector('%s text');e.scrollIntoView({block:"center",inline:"center"});const b=e.getBoundingClientRect();return (b.x+b.width/2)+" "+(b.y+b.height/2)})()`, shape(piece)))
	if _, err := fmt.Sscan(s, &x, &y); err != nil {
		t.Fatalf("%s lies at %q", piece, s)
	}
	return x, y
}

// where is where a piece's number stands on the screen now.
func where(t *testing.T, ctx context.Context, piece string) (x, y float64) {
	t.Helper()
	s := text(t, ctx, fmt.Sprintf(`(()=>{const b=document.querySelector('%s text').getBoundingClientRect();return (b.x+b.width/2)+" "+(b.y+b.height/2)})()`, shape(piece)))
	if _, err := fmt.Sscan(s, &x, &y); err != nil {
		t.Fatalf("%s lies at %q", piece, s)
	}
	return x, y
}

func mouse(kind input.DispatchMouseEventType, x, y float64) step {
	return call(input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, Buttons: 1, ClickCount: 1})
}

// path are the points between two places, the last one among them.
func between(x0, y0, x1, y1 float64) [][2]float64 {
	var out [][2]float64
	for k := 1.0; k <= 6; k++ {
		out = append(out, [2]float64{x0 + (x1-x0)*k/6, y0 + (y1-y0)*k/6})
	}
	return out
}

func touch(kind input.DispatchTouchEventType, at ...float64) step {
	p := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
	if len(at) == 2 {
		p.TouchPoints = append(p.TouchPoints, &input.TouchPoint{X: at[0], Y: at[1]})
	}
	return call(input.DispatchTouchEvent, p)
}

func classHas(piece, class string) string {
	return fmt.Sprintf(`document.querySelector('%s').classList.contains(%q)`, shape(piece), class)
}

// At a desk: a piece dragged on to another is marked while it is held, not by colour alone; dragged free it is not. It is locked, the search
// lays the rest, and it has not moved; a reload and a restarted server keep it. The lay that comes of it is judged by GEOS.
func TestAPieceIsDraggedLockedAndTheRestIsLaid(t *testing.T) {
	ctx := openTab(t)
	r, job := laidRoom(t)
	do(t, ctx, screen(1280, 1000), open(r.url("/jobs/"+job.ID+"/lay/shell")), movable)
	x0, y0 := middle(t, ctx, "sleeve")
	x1, y1 := where(t, ctx, "front")
	long := text(t, ctx, `document.querySelector("#fig-length").textContent`)
	do(t, ctx, mouse(input.DispatchMouseEventTypeMousePressed, x0, y0))
	for _, q := range between(x0, y0, x1, y1) {
		do(t, ctx, mouse(input.DispatchMouseEventTypeMouseMoved, q[0], q[1]))
	}
	do(t, ctx, until(classHas("sleeve", "over")+"&&"+classHas("front", "over")))
	if got := text(t, ctx, `getComputedStyle(document.querySelector('`+shape("front")+` .hatch')).display+" "+getComputedStyle(document.querySelector('`+shape("front")+` .laid')).strokeDasharray`); strings.HasPrefix(got, "none") || strings.HasSuffix(got, "none") {
		t.Errorf("an overlap is shown by colour alone: hatching and dashes are %q", got)
	}
	if got := text(t, ctx, `document.querySelector("#lay-verdict").hidden+" "+document.querySelector("#lay-stops").innerText`); !strings.HasPrefix(got, "false") || !strings.Contains(got, "Sleeve") || !strings.Contains(got, "Front") {
		t.Errorf("while it is held the page says %q", got)
	}
	do(t, ctx, mouse(input.DispatchMouseEventTypeMouseReleased, x1, y1), sent, until(`document.querySelector("#lay-stops").innerText.includes("at the deepest")`))
	if p, _ := r.planOfShell(job.ID); piece.Worst(p.Findings) != piece.Stop || p.Check() == nil {
		t.Errorf("a lay with an overlap is kept as fit to cut: %v", p.Findings)
	}

	// Far out to the right, where there is nothing; the length follows.
	x2, y2 := where(t, ctx, "sleeve")
	var right, top float64
	fmt.Sscan(text(t, ctx, `(()=>{const b=document.querySelector(".lay-picture .ground").getBoundingClientRect();return b.right+" "+b.top})()`), &right, &top)
	to := right - (x0 - text2(t, ctx, `document.querySelector(".lay-picture .ground").getBoundingClientRect().left`))
	do(t, ctx, mouse(input.DispatchMouseEventTypeMousePressed, x2, y2))
	for _, q := range between(x2, y2, to, y0) {
		do(t, ctx, mouse(input.DispatchMouseEventTypeMouseMoved, q[0], q[1]))
	}
	// What the page reckons while a piece is held is what the server says when it is let go.
	reckoned := text(t, ctx, figuresNow)
	do(t, ctx, mouse(input.DispatchMouseEventTypeMouseReleased, to, y0), sent)
	if got := text(t, ctx, figuresNow); got != reckoned {
		t.Errorf("held, the page says %s; let go, %s", reckoned, got)
	}
	do(t, ctx, until("!"+classHas("sleeve", "over")), until(fmt.Sprintf(`document.querySelector("#fig-length").textContent!==%q&&document.querySelector("#lay-verdict").hidden`, long)))

	do(t, ctx, click("#hand-lock"), sent)
	held, ok := r.handOf(job.ID, "sleeve")
	if !ok || !held.Locked {
		t.Fatalf("the sleeve is kept as %+v, %t", held, ok)
	}
	do(t, ctx, click("#hand-rest"))
	kept(t, r, "a lay round the sleeve", func(j *Record) bool {
		return j.Kept.Lays["shell"].Hand != nil && len(j.Kept.Lays["shell"].Undo) >= 3
	})
	// The sleeve ends the lay, so that nothing shorter can be: the search rests, and the pieces can be moved again on the same page.
	do(t, ctx, movable)
	now, _ := r.handOf(job.ID, "sleeve")
	if now != held {
		t.Errorf("the sleeve was locked at %+v and lies at %+v", held, now)
	}
	plan, works := r.planOfShell(job.ID)
	laytest.Judge(t, laytest.Case{Name: "round the sleeve", Plan: plan, Works: works})
	if piece.Worst(plan.Findings) == piece.Stop {
		t.Errorf("the lay round the sleeve: %v", plan.Findings)
	}
	r.stop()
	r.start()
	do(t, ctx, reload(), movable)
	if again, _ := r.handOf(job.ID, "sleeve"); again != held {
		t.Errorf("after a restart the sleeve lies at %+v", again)
	}
	if got := text(t, ctx, classHas("sleeve", "locked")); got != "true" {
		t.Error("after a reload the sleeve is not shown as locked")
	}
	if got, want := text(t, ctx, `document.querySelector("#fig-buy").textContent`), tapeOf("in").Fine(plan.Bought); got != want {
		t.Errorf("the page says %s to buy; the lay needs %s", got, want)
	}
}

const figuresNow = `["#fig-buy","#fig-length","#fig-used","#fig-cost"].map(s=>(document.querySelector(s)||{}).textContent).join(" / ")`

// The same in a room that works in centimetres, on cloth with a price, a nap, a repeat and shrinkage: figures and cost are the server's, a piece
// moves by whole repeats and is not turned.
func TestFiguresFollowOnOtherCloth(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	house := "format = 1\ntape = \"5 mm\"\nunit = \"cm\"\n[[cloth]]\nmaterial = \"shell\"\nname = \"check\"\nwidth = 150\nselvedge = 1\nfold = \"lengthwise\"\nnap = true\nstep = 10\nprice = \"17.35\"\nrepeat_long = 6\nrepeat_wide = 4\nshrinks_long = 0.03\nwash_first = true\n[[cloth]]\nmaterial = \"lining\"\nname = \"lining\"\nwidth = 140\n"
	if err := os.WriteFile(filepath.Join(r.dir, houseInch), []byte(house), 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := r.server.cut(job)
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	cloth, _, _ := clothOf(job, c.result, "shell")
	if cloth.Along != 60 || cloth.Price != "17.35" || !cloth.Wash || len(cloth.Matches) == 0 {
		t.Fatalf("the cloth is %+v", cloth)
	}
	plan, err := lay.Lay(context.Background(), worksOf(c.result), cloth, lay.Options{Steps: 400})
	if err != nil || !plan.Laid() {
		t.Fatal(err, plan.Findings)
	}
	if err := r.folder.Change(job.ID, func(j *Record) error {
		j.Kept.Lays = map[string]KeptLay{"shell": {Fold: string(cloth.Fold), Nap: true, Hand: handPlaces(plan), HandOf: signOf(c.result, cloth)}}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	do(t, ctx, screen(1280, 1000), open(r.url("/jobs/"+job.ID+"/lay/shell")), movable, evaluate(`document.querySelector(".lay-picture").scrollIntoView()`))
	before := text(t, ctx, figuresNow)
	if !strings.Contains(before, " cm") || strings.Contains(before, "undefined") {
		t.Errorf("the figures are %s", before)
	}
	last := slices.MaxFunc(plan.Places, func(a, b lay.Place) int { return cmp.Compare(a.Bounds().Max.Y, b.Bounds().Max.Y) }).Piece // which makes the lay longer
	was, _ := r.handOf(job.ID, last)
	x, y := middle(t, ctx, last)
	do(t, ctx, mouse(input.DispatchMouseEventTypeMousePressed, x, y))
	for _, q := range between(x, y, x+330, y) {
		do(t, ctx, mouse(input.DispatchMouseEventTypeMouseMoved, q[0], q[1]))
	}
	do(t, ctx, until(fmt.Sprintf("%s!==%q", figuresNow, before)))
	reckoned := text(t, ctx, figuresNow)
	do(t, ctx, mouse(input.DispatchMouseEventTypeMouseReleased, x+330, y), sent)
	if got := text(t, ctx, figuresNow); got != reckoned {
		t.Errorf("held, the page says %s; let go, %s", reckoned, got)
	}
	now, _ := r.handOf(job.ID, last)
	if n := (now.Y - was.Y) / 60; math.Abs(n-math.Round(n)) > 1e-4 || math.Round(n) < 1 {
		t.Errorf("on a repeat of 60 mm %s was moved by %g mm", last, now.Y-was.Y)
	}
	if got := text(t, ctx, `document.querySelector("#hand-turn").disabled`); got != "true" {
		t.Errorf("with a nap %s may be turned", last)
	}
	job, _ = r.folder.Load(job.ID)
	for _, f := range r.server.handPlan(job, c.result, cloth).Findings {
		if f.Code == "lay:off-repeat" || f.Code == "lay:turn" {
			t.Errorf("the server says: %s", f.Text)
		}
	}
}

// text2 is a number of the page.
func text2(t *testing.T, ctx context.Context, expr string) (v float64) {
	t.Helper()
	fmt.Sscan(text(t, ctx, expr), &v)
	return v
}

// On a phone a finger chooses a piece by a tap and then drags it; before that the finger pushes the page.
func TestAPieceIsDraggedByAFinger(t *testing.T) {
	ctx := openTab(t)
	r, job := laidRoom(t)
	do(t, ctx, phone(), open(r.url("/jobs/"+job.ID+"/lay/shell")), movable)
	x, y := middle(t, ctx, "back")
	do(t, ctx, settle, touch("touchStart", x, y), touch("touchEnd"), until(classHas("back", "chosen")))
	if _, moved := r.handOf(job.ID, "back"); moved {
		t.Error("a tap has moved the piece")
	}
	do(t, ctx, settle)
	x, y = where(t, ctx, "back")
	do(t, ctx, touch("touchStart", x, y))
	for _, q := range between(x, y, x-60, y+90) {
		do(t, ctx, touch("touchMove", q[0], q[1]))
	}
	do(t, ctx, until(`!document.querySelector("#lay-verdict").hidden`), touch("touchEnd"), sent)
	q, ok := r.handOf(job.ID, "back")
	if !ok || q.X != 0 {
		t.Fatalf("the back lies at %+v, %t; a piece on the fold stays on it", q, ok)
	}
	do(t, ctx, tap("#hand-undo"), until(`document.querySelector("#lay-verdict").hidden`))
	if back, _ := r.handOf(job.ID, "back"); back.Y == q.Y {
		t.Error("the move is not taken back")
	}
	// The buttons do what a finger cannot: a mark of the tape at a time.
	before, _ := r.handOf(job.ID, "back")
	do(t, ctx, settle, tap(`[data-move="0 1"]`))
	kept(t, r, "the mark", func(*Record) bool { q, _ := r.handOf(job.ID, "back"); return q != before })
	if after, _ := r.handOf(job.ID, "back"); math.Abs(after.Y-before.Y-tape.Inch/8) > 0.001 {
		t.Errorf("by one mark of the eighth-inch tape it has moved by %g mm", after.Y-before.Y)
	}
}

// With the keyboard alone a piece is reached, moved by the tape's marks, turned, locked, and the move taken back.
func TestAPieceIsMovedByKeys(t *testing.T) {
	ctx := openTab(t)
	r, job := laidRoom(t)
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/lay/shell")), movable)
	reach := func(sel string) {
		t.Helper()
		for range 80 {
			if text(t, ctx, fmt.Sprintf(`!!document.activeElement&&document.activeElement.matches('%s')`, sel)) == "true" {
				return
			}
			do(t, ctx, typeIn(kb.Tab))
		}
		t.Fatalf("the keyboard does not reach %s", sel)
	}
	reach(shape("welt"))
	plan, _ := r.planOfShell(job.ID)
	var was lay.Place
	for _, q := range plan.Places {
		if q.Piece == "welt" {
			was = q
		}
	}
	do(t, ctx, typeIn(kb.ArrowRight+kb.ArrowRight+kb.ArrowDown), sent)
	q, _ := r.handOf(job.ID, "welt")
	if math.Abs(q.Y-was.Y-2*tape.Inch/8) > 0.002 || math.Abs(q.X-was.X-tape.Inch/8) > 0.002 {
		t.Errorf("two marks along and one across: moved by %g and %g mm", q.Y-was.Y, q.X-was.X)
	}
	if said := text(t, ctx, `document.querySelector("#hand-told").textContent`); !strings.Contains(said, "Pocket welt") || !strings.Contains(said, " in from the end") {
		t.Errorf("aloud it is said %q", said)
	}
	do(t, ctx, typeIn("r"), sent)
	turned, _ := r.handOf(job.ID, "welt")
	if d := math.Abs(math.Remainder(turned.Turn-q.Turn, 360)); math.Abs(d-180) > 1e-9 {
		t.Errorf("without nap it may lie upside down; it was turned by %g degrees", d)
	}
	do(t, ctx, typeIn("l"), sent)
	if q, _ = r.handOf(job.ID, "welt"); !q.Locked {
		t.Error("L does not lock")
	}
	do(t, ctx, typeIn(kb.ArrowRight), settle)
	if now, _ := r.handOf(job.ID, "welt"); now != q {
		t.Error("what is locked was moved")
	}
	do(t, ctx, typeIn("l"), sent, typeIn("u"), until(`document.querySelector("#hand-told").textContent!==""`))
	kept(t, r, "the turn taken back", func(j *Record) bool {
		for _, h := range j.Kept.Lays["shell"].Hand {
			if h.Piece == "welt" {
				return math.Abs(math.Remainder(h.Turn-was.Turn, 360)) < 1e-9
			}
		}
		return false
	})
	reach("#hand-rest")
}

// With a nap every piece has one way to lie, and the server takes no other.
func TestTurnsAreThoseOfTheCloth(t *testing.T) {
	r, job := laidRoom(t)
	c := newClient(t, r.url(""))
	path := "/jobs/" + job.ID + "/lay/shell"
	token := c.token(path)
	at := path + "/hand"
	plan, _ := r.planOfShell(job.ID)
	rec, _ := r.folder.Load(job.ID)
	cut, _ := r.server.cut(rec)
	cloth, _, _ := clothOf(rec, cut.result, "shell")
	of := signOf(cut.result, cloth)
	send := func(pairs ...string) (int, string) {
		status, body, _ := c.send("POST", at, form(append([]string{"token", token}, pairs...)...), nil)
		return status, body
	}
	line := func(q *lay.Place, turn, x float64) string {
		return fmt.Sprintf("%s 0 0 %g 0 %g %g 0", q.Piece, turn, x, q.Y)
	}
	for i := range plan.Places {
		q := &plan.Places[i]
		if q.OnFold {
			if status, _ := send("of", of, "do", "place", "p", line(q, q.Turn, 77)); status != http.StatusOK {
				t.Errorf("a piece on the fold moved aside is answered with %d", status)
			}
			if h, _ := r.handOf(job.ID, q.Piece); h.X != 0 {
				t.Errorf("%s was taken %g mm off the fold", q.Piece, h.X)
			}
			continue
		}
		for _, turn := range []float64{q.Turn + 90, q.Turn + 3} {
			if status, _ := send("of", of, "do", "place", "p", line(q, turn, q.X)); status != http.StatusBadRequest {
				t.Errorf("%s turned to %g is answered with %d", q.Piece, turn, status)
			}
		}
	}
	// With a nap there is one way to lie; the lay is another then, and is laid anew first.
	c.send("POST", path, form("token", token, "width", "45", "fold", "lengthwise", "nap", "yes", "do", "start"), nil)
	kept(t, r, "a lay with a nap", func(j *Record) bool { return j.Kept.Lays["shell"].Nap && j.Kept.Lays["shell"].Steps > 600 })
	r.server.rest(job.ID, "shell")
	napped, _ := r.planOfShell(job.ID)
	for i := range napped.Places {
		q := &napped.Places[i]
		if status, _ := send("of", planSignOf(t, r, job.ID), "do", "place", "p", line(q, q.Turn+180, q.X)); status != http.StatusBadRequest {
			t.Errorf("with a nap %s turned upside down is answered with %d", q.Piece, status)
		}
		if status, _ := send("of", planSignOf(t, r, job.ID), "do", "place", "p", line(q, q.Turn, q.X)); !q.Opened && status != http.StatusOK {
			t.Errorf("with a nap %s as it lies is answered with %d", q.Piece, status)
		}
	}
	of = planSignOf(t, r, job.ID)
	for _, x := range []struct {
		what  string
		pairs []string
		want  int
	}{
		{"no sign of the lay", []string{"do", "place", "p", "sleeve 0 0 0 0 1 1 0"}, 409},
		{"another lay's sign", []string{"of", "00", "do", "undo"}, 409},
		{"nothing to do", []string{"of", of, "p", "sleeve 0 0 0 0 1 1 0"}, 400},
		{"no place", []string{"of", of, "do", "place"}, 400},
		{"a place that is no number", []string{"of", of, "do", "place", "p", "sleeve 0 0 0 0 NaN 1 0"}, 400},
		{"a place beyond all cloth", []string{"of", of, "do", "place", "p", "sleeve 0 0 0 0 1e300 1 0"}, 400},
		{"too few figures", []string{"of", of, "do", "place", "p", "sleeve 0 0 0"}, 400},
		{"a piece there is not", []string{"of", of, "do", "place", "p", "hood 0 0 0 0 1 1 0"}, 400},
		{"a copy there is not", []string{"of", of, "do", "place", "p", "sleeve 9 0 0 0 1 1 0"}, 400},
		{"half a copy", []string{"of", of, "do", "place", "p", "sleeve 0.5 0 0 0 1 1 0"}, 400},
		{"undo when all is undone", []string{"of", of, "do", "undo"}, 200},
	} {
		if status, _ := send(x.pairs...); status != x.want {
			t.Errorf("%s is answered with %d; %d is wanted", x.what, status, x.want)
		}
	}
	if status, _, _ := c.send("POST", strings.Replace(at, "shell", "tweed", 1), form("token", token, "of", of, "do", "undo"), nil); status != http.StatusNotFound {
		t.Errorf("a cloth there is not is answered with %d", status)
	}
}

// planSignOf is the sign of the shell's pieces and cloth as they are kept now.
func planSignOf(t *testing.T, r *room, id string) string {
	t.Helper()
	j, err := r.folder.Load(id)
	if err != nil {
		t.Fatal(err)
	}
	c, err := r.server.cut(j)
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	cloth, _, _ := clothOf(j, c.result, "shell")
	return signOf(c.result, cloth)
}

// Each new address refuses a change without its form token, and a body it cannot read: the OWASP Cheat Sheet on cross-site request forgery.
func TestNewAddressesAreGuarded(t *testing.T) {
	r, job := laidRoom(t)
	c := newClient(t, r.url(""))
	base := "/jobs/" + job.ID
	token := c.token(base + "/lay/shell")
	for _, p := range []string{"/lay/shell/hand", "/lay/shell/widths", "/table/lay/shell"} {
		for _, x := range []struct {
			what, body string
			want       int
		}{
			{"no token", form("do", "start", "go", "next"), 403},
			{"a body that cannot be read", "token=%zz&do=%", 400},
			{"a large body", form("token", token, "p", strings.Repeat("x", mostBody)), 413},
		} {
			if status, _, _ := c.send("POST", base+p, x.body, nil); status != x.want {
				t.Errorf("%s with %s is answered with %d; %d is wanted", p, x.what, status, x.want)
			}
		}
	}
	if status, _, _ := c.send("POST", base+"/lay/shell/widths", form("token", token, "row", "47 open"), nil); status != http.StatusBadRequest {
		t.Errorf("a width there is not is answered with %d", status)
	}
	for _, p := range []string{"/lay/tweed/widths", "/table/lay/tweed", "/lay/tweed/widths/events"} {
		if status, _, _ := c.send("GET", base+p, "", nil); status != http.StatusNotFound {
			t.Errorf("%s is answered with %d", p, status)
		}
	}
}

// What the lay plan, the record and the findings say is the lay by hand's, price and all; one that overlaps is printed as not to be cut.
func TestSheetsAreOfTheLayByHand(t *testing.T) {
	r, job := laidRoom(t)
	plan, _ := r.planOfShell(job.ID)
	var hand []HandPlace
	move := func(change func(q *HandPlace)) *Record {
		hand = handPlaces(plan)
		for i := range hand {
			if hand[i].Piece == "sleeve" {
				change(&hand[i])
			}
		}
		if err := r.folder.Change(job.ID, func(j *Record) error {
			c, _ := r.server.cut(j)
			cloth, _, _ := clothOf(j, c.result, "shell")
			k := j.Kept.Lays["shell"]
			k.Hand, k.HandOf = hand, signOf(c.result, cloth)
			j.Kept.Lays["shell"] = k
			return nil
		}); err != nil {
			t.Fatal(err)
		}
		j, _ := r.folder.Load(job.ID)
		return j
	}
	record := func(j *Record) (length float64, level string, findings string) {
		c, err := r.server.cut(j)
		if err != nil {
			t.Fatal(err)
		}
		files, err := r.server.print(j, c)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			if f.Name == "job.json" {
				var out struct {
					Level    string
					Findings []struct{ Code string }
					Cloths   []struct {
						Material string
						Length   float64
					}
				}
				if err := json.Unmarshal(f.Bytes, &out); err != nil {
					t.Fatal(err)
				}
				for _, x := range out.Findings {
					findings += " " + x.Code
				}
				return out.Cloths[0].Length, out.Level, findings
			}
		}
		t.Fatal("there is no record")
		return
	}
	// Carried two metres on: the lay ends where the sleeve does then (arithmetic).
	end := 0.0
	for i := range plan.Places {
		if q := &plan.Places[i]; q.Piece == "sleeve" {
			end = q.Bounds().Max.Y + 2000
		}
	}
	j := move(func(q *HandPlace) { q.Y += 2000 })
	length, level, _ := record(j)
	if math.Abs(length-end) > 0.01 || level == string(piece.Stop) {
		t.Errorf("the record has a lay of %g mm, level %s; the sleeve ends at %g", length, level, end)
	}
	// On to another piece.
	j = move(func(q *HandPlace) { q.Y += 300 })
	_, level, findings := record(j)
	if level != string(piece.Stop) || !strings.Contains(findings, "lay:overlap") {
		t.Errorf("a lay that overlaps is printed at level %s, with %s", level, findings)
	}
	c := newClient(t, r.url(""))
	if _, page, _ := c.send("GET", "/jobs/"+job.ID+"/sheets", "", nil); !strings.Contains(page, languages["en"].T("sheets.stop")) || !strings.Contains(page, "overlap") {
		t.Error("the sheets' page does not say so")
	}
	if _, page, _ := c.send("GET", "/jobs/"+job.ID+"/lay/shell", "", nil); !strings.Contains(page, languages["en"].T("lay.hand.bad")) {
		t.Error("the lay's page does not say so without script")
	}
}

// A client's name, a note or a date moves no piece, so it drops no lay; a measure does.
func TestALayIsKeptAsLongAsItsPieces(t *testing.T) {
	r, job := laidRoom(t)
	sign := func(change func(*Record)) string {
		t.Helper()
		if err := r.folder.Change(job.ID, func(j *Record) error { change(j); return nil }); err != nil {
			t.Fatal(err)
		}
		j, _ := r.folder.Load(job.ID)
		c, err := r.server.cut(j)
		if err != nil || c.err != nil {
			t.Fatal(err, c.err)
		}
		cloth, _, _ := clothOf(j, c.result, "shell")
		return signOf(c.result, cloth)
	}
	was := sign(func(*Record) {})
	if sign(func(j *Record) { j.Client, j.Note = "Somebody Else", "deliver on Friday" }) != was {
		t.Error("another name is another lay")
	}
	if sign(func(j *Record) { j.Measures["body_length"] = Typed{Text: "27"} }) == was {
		t.Error("a longer body is the same lay")
	}
}

// The rules of axe-core hold on the pages of laying also while a piece is chosen, overlaps and is locked, and with a comparison on them; nothing
// scrolls sideways but the cloth.
func TestLayingShutsNobodyOut(t *testing.T) {
	ctx := openTab(t)
	r, job := laidRoom(t)
	lays := r.url("/jobs/" + job.ID + "/lay/shell")
	do(t, ctx, open(lays+"/widths"), click("#compare"), until(`document.querySelectorAll(".trials tbody tr").length===12&&!document.querySelector(".looking")`))
	for s, w := range map[string]int64{"light": 360, "dark": 1440} {
		do(t, ctx, scheme(s), screen(w, 900))
		for _, p := range []string{lays + "/widths", r.url("/jobs/" + job.ID + "/table/lay/shell"), lays} {
			do(t, ctx, open(p))
			if p == lays {
				do(t, ctx, movable, focus(shape("front")), typeIn("l"), sent, focus(shape("sleeve")))
				for range 3 {
					do(t, ctx, call(input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: "keyDown", Key: "ArrowRight", Code: "ArrowRight", WindowsVirtualKeyCode: 39, Modifiers: 8}))
				}
				do(t, ctx, sent, typeIn("l"), until(`document.querySelector(".shape.over")`))
			}
			accessible(t, ctx, fmt.Sprintf("%s, %s, %d wide", pageName(strings.TrimPrefix(p, r.url(""))), s, w))
			do(t, ctx, screen(map[int64]int64{360: 320, 1440: 768}[w], 900))
			if text(t, ctx, `document.documentElement.scrollWidth<=innerWidth`) != "true" {
				t.Errorf("%s: the page is wider than the screen", p)
			}
			do(t, ctx, screen(w, 900))
		}
	}
}

// Where the pieces have changed the lay by hand does not count any more; it is kept, offered again, and judged anew. Half an inch longer in
// the body: what lay tight overlaps, what lay behind everything does not.
func TestALayByHandOfOtherPieces(t *testing.T) {
	r, job := laidRoom(t)
	c := newClient(t, r.url(""))
	path := "/jobs/" + job.ID + "/lay/shell"
	token := c.token(path)
	rec, _ := r.folder.Load(job.ID)
	cut, _ := r.server.cut(rec)
	cloth, _, _ := clothOf(rec, cut.result, "shell")
	plan, _ := r.planOfShell(job.ID)
	var sleeve HandPlace
	for _, q := range handPlaces(plan) {
		if q.Piece == "sleeve" {
			sleeve = q
		}
	}
	c.send("POST", path+"/hand", form("token", token, "of", signOf(cut.result, cloth), "do", "place", "p", fmt.Sprintf("sleeve 0 0 %g 0 %g %g 1", sleeve.Turn, sleeve.X, 1800.0)), nil)
	before, _ := r.handOf(job.ID, "sleeve")
	if before.Y != 1800 || !before.Locked {
		t.Fatalf("the sleeve lies at %+v", before)
	}
	offer := languages["en"].T("lay.hand.retake")
	if _, page, _ := c.send("GET", path, "", nil); strings.Contains(page, offer) {
		t.Error("nothing has changed, and the lay is offered again")
	}
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Measures["body_length"] = Typed{Text: "26 1/2"}; return nil }); err != nil {
		t.Fatal(err)
	}
	if _, page, _ := c.send("GET", path, "", nil); !strings.Contains(page, offer) {
		t.Error("the lay by hand is not offered again")
	}
	if status, _, _ := c.send("POST", path, form("token", token, "do", "retake"), nil); status != http.StatusSeeOther {
		t.Errorf("laid again it is answered with %d", status)
	}
	after, _ := r.handOf(job.ID, "sleeve")
	if after != before {
		t.Errorf("the sleeve lay at %+v and lies at %+v", before, after)
	}
	again, _ := r.planOfShell(job.ID)
	if (piece.Worst(again.Findings) == piece.Stop) != (again.Check() != nil) {
		t.Errorf("the findings are %v, the check says %v", again.Findings, again.Check())
	}
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Measures["body_length"] = Typed{Text: "26"}; return nil }); err != nil {
		t.Fatal(err)
	}
	// Changed back, it is the same lay once more when it is taken up.
	c.send("POST", path, form("token", token, "do", "retake"), nil)
	last, works := r.planOfShell(job.ID)
	laytest.Judge(t, laytest.Case{Name: "changed back", Plan: last, Works: works})
}

// BenchmarkLayByHand is what the server does for one move: judge the lay, and say how it stands.
func BenchmarkLayByHand(b *testing.B) {
	f, err := OpenFolder(b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	s := New(Options{Store: f, Key: randomBytes(32)})
	r := &Record{Garment: "rib-zip-jacket", Unit: "in", Style: map[string]string{}, Measures: map[string]Typed{}}
	for n, v := range map[string]string{"chest_girth": "40", "shoulder_width": "17", "body_length": "26", "arm_length": "25", "wrist_girth": "7"} {
		r.Measures[n] = Typed{Text: v}
	}
	c, err := s.cut(r)
	if err != nil || c.err != nil {
		b.Fatal(err, c.err)
	}
	cloth, _, _ := clothOf(r, c.result, "shell")
	cloth.Fold = lay.Open
	plan, err := lay.Lay(context.Background(), worksOf(c.result), cloth, lay.Options{Steps: 400})
	if err != nil {
		b.Fatal(err)
	}
	r.Kept.Lays = map[string]KeptLay{"shell": {Fold: "open", Hand: handPlaces(plan), HandOf: signOf(c.result, cloth)}}
	v := &visit{s: s, words: languages["en"]}
	for b.Loop() {
		p := s.handPlan(r, c.result, cloth)
		if p == nil || v.handState(r, c, cloth, p).json() == "" {
			b.Fatal("nothing is said")
		}
	}
}

// On every way of laying that the page offers a piece is moved behind all others by hand, locked, and the rest laid round it; the cloth stays folded as it
// was. GEOS judges what comes of it.
func TestTheRestIsLaidOnEveryFold(t *testing.T) {
	for _, fold := range []lay.Fold{lay.Lengthwise, lay.PartSingle, lay.Open} {
		r, job := laidRoom(t)
		if err := r.folder.Change(job.ID, func(j *Record) error {
			c, _ := r.server.cut(j)
			k := j.Kept.Lays["shell"]
			k.Fold = string(fold)
			j.Kept.Lays["shell"] = k
			cloth, _, _ := clothOf(j, c.result, "shell")
			k.Of = signOf(c.result, cloth)
			j.Kept.Lays["shell"] = k
			return nil
		}); err != nil {
			t.Fatal(err)
		}
		before, _ := r.planOfShell(job.ID)
		q := before.Places[0]
		for i := range before.Places {
			if before.Places[i].Piece == "front" {
				q = before.Places[i]
			}
		}
		job, _ = r.folder.Load(job.ID)
		c, _ := r.server.cut(job)
		cloth, _, _ := clothOf(job, c.result, "shell")
		user := newClient(t, r.url(""))
		path := "/jobs/" + job.ID + "/lay/shell"
		token := user.token(path)
		flip := map[bool]int{true: 1}[q.Flipped]
		if status, body, _ := user.send("POST", path+"/hand", form("token", token, "of", signOf(c.result, cloth), "do", "place", "p", fmt.Sprintf("front %d 0 %g %d %g %g 1", q.Copy, q.Turn, flip, q.X, q.Y+before.Depth())), nil); status != http.StatusOK {
			t.Fatalf("%s: the move is answered with %d, %s", fold, status, body)
		}
		moved, works := r.planOfShell(job.ID)
		if moved.Cloth.Doubled != before.Cloth.Doubled || moved.Cloth.Fold != before.Cloth.Fold {
			t.Errorf("%s: it was folded at %g and is at %g", fold, before.Cloth.Doubled, moved.Cloth.Doubled)
		}
		laytest.Judge(t, laytest.Case{Name: string(fold) + ", moved", Plan: moved, Works: works})
		if status, _, _ := user.send("POST", path, form("token", token, "do", "start"), nil); status != http.StatusSeeOther {
			t.Errorf("%s: the search is answered with %d", fold, status)
		}
		kept(t, r, "the rest", func(j *Record) bool { return len(j.Kept.Lays["shell"].Undo) == 2 })
		r.server.rest(job.ID, "shell")
		after, works := r.planOfShell(job.ID)
		laytest.Judge(t, laytest.Case{Name: string(fold), Plan: after, Works: works})
		found := false
		for _, h := range after.Places {
			if h.Piece == "front" && h.Copy == q.Copy && h.Held {
				found = h.X == thousandth(q.X) && h.Y == thousandth(q.Y+before.Depth()) && h.Turn == q.Turn
			}
		}
		if !found || piece.Worst(after.Findings) == piece.Stop {
			t.Errorf("%s: the front was held at %g, %g: %v", fold, q.X, q.Y+before.Depth(), after.Findings)
		}
	}
}
