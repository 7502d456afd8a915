package web

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/tape"
	"github.com/chromedp/chromedp/kb"
)

// kept waits in the store for what was typed.
func kept(t *testing.T, r *room, what string, ok func(*Record) bool) {
	t.Helper()
	for range 400 {
		jobs, _ := r.folder.List()
		if len(jobs) == 1 && ok(jobs[0]) {
			return
		}
		pause()
	}
	jobs, _ := r.folder.List()
	for _, j := range jobs {
		t.Logf("kept is %+v", *j)
	}
	t.Fatalf("%s was not kept", what)
}

// unsent is true while the tab holds something that the server has not kept yet.
const unsent = `Object.keys(sessionStorage).some(k=>k.startsWith("waiting "))`

// A reload in the middle of a word, and a server that was switched off in between, lose nothing that was typed.
func TestNothingTypedIsLost(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	do(t, ctx, open(r.url("/")), click(".new-job .main"), until(`document.querySelector("#client")`))
	do(t, ctx, focus("#client"), typeIn("Ọlá Àkàndé"), focus("#m-chest_girth"), typeIn("40 1/"))
	kept(t, r, "half a fraction", func(j *Record) bool {
		return j.Measures["chest_girth"].Text == "40 1/" && j.Client == "Ọlá Àkàndé"
	})
	do(t, ctx, until(`document.querySelector("#note-chest_girth .wrong")`), reload())
	if got := text(t, ctx, `document.querySelector("#m-chest_girth").value`); got != "40 1/" {
		t.Errorf("after a reload the field holds %q", got)
	}

	r.stop()
	do(t, ctx, focus("#m-chest_girth"), typeIn(kb.End), typeIn("2"), focus("#m-wrist_girth"), typeIn("7"), until(`document.querySelector("#told").textContent!=""`))
	r.start()
	kept(t, r, "what was typed while the server was off", func(j *Record) bool {
		return j.Measures["chest_girth"].Text == "40 1/2" && j.Measures["wrist_girth"].Text == "7"
	})

	// Typed while the server is off, and the tab is loaded again only after it is back.
	r.stop()
	do(t, ctx, focus("#m-arm_length"), typeIn("25"), until(unsent))
	r.start()
	do(t, ctx, reload())
	kept(t, r, "what was typed before the reload", func(j *Record) bool { return j.Measures["arm_length"].Text == "25" })
	if got := text(t, ctx, `document.querySelector("#m-arm_length").value`); got != "25" {
		t.Errorf("after the reload the field holds %q", got)
	}
}

// Without script the tape card is an ordinary form.
func TestTheTapeCardWithoutScript(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	do(t, ctx, script(false), open(r.url("/")), click(".new-job .main"), until(`document.querySelector("#client")`))
	do(t, ctx, focus("#m-chest_girth"), typeIn("101,6 cm"), focus("#m-wrist_girth"), typeIn("9 1/3\r"))
	kept(t, r, "the form", func(j *Record) bool { return j.Measures["chest_girth"].Text == "101,6 cm" })
	do(t, ctx, until(`document.querySelector("#note-wrist_girth .wrong")`))
	if got := text(t, ctx, `document.querySelector("#note-chest_girth").innerText`); !strings.Contains(got, "40 in") {
		t.Errorf("101.6 cm is 40 in by the definition of the inch (25.4 mm); the page says %q", got)
	}
}

// A wrist of 9 in on an arm and hand that are much smaller is the slip the trade fears; the field says so while it is typed.
func TestADoubtAppearsBesideItsField(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/measure")), click("#m-wrist_girth"), typeIn(kb.End+kb.Backspace), typeIn("11"), until(`document.querySelector("#note-wrist_girth .note:is(.doubt,.wrong)")`))
	do(t, ctx, click("#note-wrist_girth .stand"))
	kept(t, r, "that the wrist was measured again", func(j *Record) bool { return j.Measures["wrist_girth"].Confirmed })
	do(t, ctx, click("#m-wrist_girth"), typeIn(kb.End+kb.Backspace+kb.Backspace), typeIn("7"))
	kept(t, r, "the new wrist, no longer confirmed", func(j *Record) bool {
		return j.Measures["wrist_girth"].Text == "7" && !j.Measures["wrist_girth"].Confirmed
	})
}

func TestFilesAreTheOwnersAlone(t *testing.T) {
	r := openRoom(t)
	r.measured()
	names, err := os.ReadDir(r.dir)
	if err != nil || len(names) < 3 {
		t.Fatalf("%d files, %v", len(names), err)
	}
	for _, n := range names {
		info, err := n.Info()
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s has the mode %v; only its owner should read it", n.Name(), info.Mode())
		}
	}
}

// downloaded fetches a file with the tab's own cookies and says how it begins and how long it is.
func downloaded(file string) string {
	return fmt.Sprintf(`fetch(document.querySelector('a[href$="/%s"]').href).then(r=>r.ok?r.arrayBuffer():Promise.reject(r.status)).then(b=>{window.file=new TextDecoder().decode(b.slice(0,5))+" "+b.byteLength})`, file)
}

// One client from the tape to the table on a phone's touch screen, with a machine that is switched off in the middle.
func TestAJacketOnAPhone(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	do(t, ctx, phone(), open(r.url("/")), tap(".new-job .main"), until(`document.querySelector("#client")`))
	do(t, ctx, tap("#client"), typeIn("Invented Client"))
	for n, v := range map[string]string{"chest_girth": "40", "shoulder_width": "17", "body_length": "26", "arm_length": "25", "wrist_girth": "7", "neck_base_girth": "16 1/2", "hand_girth": "8", "upper_arm_girth": "13"} {
		// A hand waits until the page is still; so does this one.
		do(t, ctx, until("!"+unsent+`&&!document.querySelector(".htmx-request")`), tap("#m-"+n), until(fmt.Sprintf(`document.activeElement&&document.activeElement.id===%q`, "m-"+n)), thumbs(v))
	}
	// A half under the thumb.
	do(t, ctx, focus("#m-hand_girth"), tap(`#fractions [data-put="½"]`), until(`document.querySelector("#m-hand_girth").value==="8½"`))
	kept(t, r, "the fraction under the thumb", func(j *Record) bool { return j.Measures["hand_girth"].Text == "8½" && len(j.Measures) == 8 })
	if got := text(t, ctx, `document.querySelectorAll(".note.wrong").length`); got != "0" {
		t.Errorf("%s measures are called wrong", got)
	}

	do(t, ctx, tap(".ends .main"), until(`document.querySelector(".sketch svg")`))
	do(t, ctx, evaluate(`window.before=document.querySelector("#picture").innerHTML`), tap(`label:has([name="s.ease"][value="roomy"])`), until(`document.querySelector("#picture").innerHTML!==window.before`))
	kept(t, r, "the choice of ease", func(j *Record) bool { return j.Style["ease"] == "roomy" })

	id := r.only().ID
	do(t, ctx, open(r.url("/jobs/"+id+"/table")), tap(`a[href$="/table/front"]`), until(`document.querySelector("#chalk")`))
	at := func(n int) step {
		return until(fmt.Sprintf(`document.querySelector(".count").textContent.trim().startsWith("%d of ")&&document.documentElement.classList.contains("live")&&!document.querySelector(".htmx-request,.htmx-settling,.htmx-swapping")`, n))
	}
	do(t, ctx, at(1), tap("#go-next"), at(2), swipe(320, 60, 300), at(3), swipe(60, 320, 300), at(2), settle, tap("#go-next"), at(3))
	// Letters to be read from two metres: a letter's height is a two-hundredth of the distance (a rule of sign makers, from
	// memory), 10 mm there; a capital is 0.7 of its size in these faces, and a CSS inch is 96 px.
	do(t, ctx, until(`document.querySelector(".big")`))
	var px float64
	fmt.Sscan(strings.TrimSuffix(text(t, ctx, `getComputedStyle(document.querySelector(".big")).fontSize`), "px"), &px)
	if mm := px * 0.7 / 96 * tape.Inch; mm < 10 {
		t.Errorf("the figure's letters are %.1f mm high", mm)
	}

	r.stop()
	r.start()
	do(t, ctx, reload(), at(3))
	do(t, ctx, tap("#unit-cm"), until(`document.querySelector(".big").textContent.includes("cm")`), reload(), until(`document.querySelector(".big").textContent.includes("cm")`))

	do(t, ctx, open(r.url("/jobs/"+id+"/sheets")))
	for _, f := range []string{"chalk.pdf", "pieces.pdf", "lay-plan.pdf"} {
		do(t, ctx, evaluate(downloaded(f)), until(`window.file`))
		if got := text(t, ctx, "window.file"); !strings.HasPrefix(got, "%PDF-") {
			t.Errorf("%s begins with %.5q", f, got)
		}
		do(t, ctx, evaluate("delete window.file"))
	}
}

// With the keyboard alone: from an empty room to a chalked step.
func TestTheKeyboardAlone(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	// tabTo presses Tab until the focus is where it should be.
	tabTo := func(sel string) {
		t.Helper()
		for range 140 {
			if text(t, ctx, fmt.Sprintf(`!!document.activeElement&&document.activeElement.matches(%q)`, sel)) == "true" {
				if text(t, ctx, `(()=>{const s=getComputedStyle(document.activeElement);return document.activeElement.matches(":focus-visible")&&(s.outlineStyle!=="none"||document.activeElement.matches("input[type=radio]"))})()`) != "true" {
					t.Errorf("%s has the focus and does not show it", sel)
				}
				return
			}
			do(t, ctx, typeIn(kb.Tab))
		}
		t.Fatalf("the keyboard does not reach %s", sel)
	}
	do(t, ctx, open(r.url("/")))
	tabTo(".new-job .main")
	do(t, ctx, typeIn("\r"), until(`document.querySelector("#client")`))
	tabTo("#client")
	do(t, ctx, typeIn("Keys"))
	values := map[string]string{"chest_girth": "40", "shoulder_width": "17", "body_length": "26", "arm_length": "25", "wrist_girth": "7"}
	tabTo("#m-height")
	for range 13 { // Enter goes from measure to measure
		name := strings.TrimPrefix(text(t, ctx, `document.activeElement&&document.activeElement.id`), "m-")
		if v := values[name]; v != "" {
			do(t, ctx, typeIn(v))
			delete(values, name)
		}
		do(t, ctx, typeIn("\r"))
	}
	if len(values) > 0 {
		t.Fatalf("Enter did not come by %v", values)
	}
	kept(t, r, "what was typed", func(j *Record) bool { return len(j.Measures) == 5 && j.Client == "Keys" })
	tabTo(".ends .main")
	do(t, ctx, typeIn("\r"), until(`document.querySelector(".sketch svg")`))
	tabTo(`[name="s.ease"]:checked`)
	do(t, ctx, typeIn(kb.ArrowRight))
	kept(t, r, "a choice by arrow", func(j *Record) bool { return j.Style["ease"] == "roomy" })
	tabTo(`a.shows[data-edges]`)
	do(t, ctx, typeIn("\r"), until(`document.querySelector(".lit")`))
	id := r.only().ID
	do(t, ctx, open(r.url("/jobs/"+id+"/table")))
	tabTo(`a[href$="/table/front"]`)
	do(t, ctx, typeIn("\r"), until(`document.querySelector("#chalk")&&document.documentElement.classList.contains("live")`), typeIn(kb.ArrowRight), until(`document.querySelector(".count").textContent.startsWith("2 ")`), typeIn(kb.ArrowLeft), until(`document.querySelector(".count").textContent.startsWith("1 ")`))
}

// Without script the whole way goes by forms and links.
func TestTheWholeWayWithoutScript(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	do(t, ctx, script(false), open(r.url("/jobs/"+job.ID+"/design")), click(`label:has([name="s.ease"][value="trim"])`), click("noscript .button"), until(`document.querySelector('[name="s.ease"]:checked').value==="trim"`))
	kept(t, r, "the choice", func(j *Record) bool { return j.Style["ease"] == "trim" })
	do(t, ctx, click("a.shows[data-edges]"), until(`document.querySelector(".lit")`))
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/table/back")), click("#go-next"), until(`document.querySelector(".count").textContent.startsWith("2 ")`), click("#unit-cm"), until(`document.querySelector("#unit-cm").getAttribute("aria-pressed")==="true"`))
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/lay")), click(".cloth-form .main"), until(`document.querySelector("#stop")||document.querySelector(".laid")`))
	kept(t, r, "a lay", func(j *Record) bool { return j.Kept.Lays["shell"].Steps > 0 })
	do(t, ctx, reload(), until(`document.querySelector(".laid")`))
}

// A lay that is watched: it appears while the search runs, is stopped, and is the same after the server was switched off.
func TestALayIsWatchedAndKept(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/lay")), click(".cloth-form .main"), until(`document.querySelectorAll(".laid").length>3`))
	kept(t, r, "the lay", func(j *Record) bool { return j.Kept.Lays["shell"].Steps > 0 })
	do(t, ctx, click("#stop"), until(`!document.querySelector("#stop")&&document.querySelector(".big-figure")`))
	buy := text(t, ctx, `document.querySelector(".big-figure").textContent`)
	r.stop()
	r.start()
	do(t, ctx, reload(), until(`document.querySelector(".big-figure")`))
	if got := text(t, ctx, `document.querySelector(".big-figure").textContent`); got != buy {
		t.Errorf("after the server was switched off %s is to be bought, before it was %s", got, buy)
	}
}

// The sketch is made of the real pieces: the finished front from pit to foot is the zip's edge, and its half width at the hem the
// piece's own.
func TestTheSketchHasThePiecesSizes(t *testing.T) {
	r := openRoom(t)
	c, err := r.server.cut(r.measured())
	if err != nil || c.err != nil {
		t.Fatal(err, c.err)
	}
	front := c.result.Pattern.Piece("front")
	d := halfDrawing{p: c.result.Pattern, side: "right", box: curve.EmptyRect()}
	if !d.draw("front", "cap_front", "seam_front") {
		t.Fatal("nothing is drawn")
	}
	if got, want := d.foot-d.pit.Y, front.Edge("front_edge").Length(); math.Abs(got-want) > 0.1 {
		t.Errorf("the front is %.1f mm from pit to foot; its edge is %.1f mm", got, want)
	}
	// The sleeve is moved and turned, not stretched: its lowest point lies a sleeve's and a cuff's length from the shoulder tip, less
	// what the hang takes.
	sleeve, cuff := c.result.Pattern.Piece("sleeve"), c.result.Pattern.Piece("cuff").Edge("end").Length()
	long := sleeve.SeamLine().Bounds().H() + cuff
	tip := outer(front.Edge("shoulder").Path)
	if got := d.box.Max.X - tip.X; math.Abs(got-long*math.Sin(hang)) > 60 {
		t.Errorf("the sleeve reaches %.0f mm out; %.0f mm is its length hung at that angle", got, long*math.Sin(hang))
	}
}

// What the workroom keeps is a job file that the command reads too.
func TestTheCommandReadsTheRoomsJobs(t *testing.T) {
	if testing.Short() {
		t.Skip("building the command is left out of short runs")
	}
	r := openRoom(t)
	job := r.measured()
	out := t.TempDir()
	cmd := exec.Command("go", "run", "clothwright/cmd/clothwright", "cut", r.dir+"/"+job.ID+".toml", "--only", "--out", out)
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
}

// BenchmarkChangeOfStyle is what the server does for one change of style, all pictures included: it has to stay far below the 100 ms
// in which a picture must follow.
func BenchmarkChangeOfStyle(b *testing.B) {
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
	for i := 0; b.Loop(); i++ {
		r.Style["block_width"] = fmt.Sprintf("%d/32 in", 64+i%90)
		s.cuts = cuts{}
		c, err := s.cut(r)
		if err != nil || c.err != nil {
			b.Fatal(err, c.err)
		}
		if len(sketches(c.result.Pattern)) != 2 || len(gallery(c.result.Pattern, languages["en"])) == 0 {
			b.Fatal("nothing is drawn")
		}
	}
}
