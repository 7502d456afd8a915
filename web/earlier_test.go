package web

import (
	"math"
	"strings"
	"testing"
	"time"

	"clothwright/tape"
)

// A jacket is kept to compare, the card says an arm 1 in longer, and the page tells what became of the sleeve; a reload and a server
// that was switched off change nothing of it.
func TestWhatChangedIsShownOverWhatWas(t *testing.T) {
	ctx := openTab(t)
	r := openRoom(t)
	job := r.measured()
	before := lengthsOf(t, r, job)
	do(t, ctx, open(r.url("/jobs/"+job.ID+"/design")), until(`document.documentElement.classList.contains("live")`), click("#keep-to-compare"), until(`document.querySelector("#compare-with")&&document.querySelector("#compare-with").value`))
	if got := text(t, ctx, `document.querySelectorAll("#changes .how").length+" "+document.querySelectorAll(".earlier").length`); got != "1 0" {
		t.Errorf("nothing has changed, and the page shows %s", got)
	}
	if err := r.folder.Change(job.ID, func(j *Record) error { j.Measures["arm_length"] = Typed{Text: "26"}; return nil }); err != nil {
		t.Fatal(err)
	}
	now, _ := r.folder.Load(job.ID)
	after := lengthsOf(t, r, now)
	by := after["sleeve.seam_front"] - before["sleeve.seam_front"]
	if by < 10 {
		t.Fatalf("an arm 1 in longer makes the sleeve seam %.1f mm longer; this test wants a plain change", by)
	}
	want := tape.Tape{Unit: tape.IN, Step: tape.Inch / 8}.Fine(by) + " longer"
	for _, again := range []string{"at once", "after a reload", "after the server was switched off"} {
		if again == "after the server was switched off" {
			r.stop()
			r.start()
		}
		do(t, ctx, open(r.url("/jobs/"+job.ID+"/design")), until(`document.querySelector("[data-changed=sleeve]")`))
		if got := text(t, ctx, `document.querySelector("[data-changed=sleeve]").innerText`); !strings.Contains(got, want) {
			t.Errorf("%s the page says of the sleeve %q; its seam is %s", again, got, want)
		}
		if got := text(t, ctx, `!!document.querySelector("[data-changed=collar]")+" "+!!document.querySelector('.gallery a[href$="/sleeve"] .earlier')+" "+!!document.querySelector('.gallery a[href$="/front"] .earlier')`); got != "false true false" {
			t.Errorf("%s collar, sleeve and front are shown as changed: %s", again, got)
		}
	}
	accessible(t, ctx, "the design compared")
	// The line of what was is told apart by its kind.
	if got := text(t, ctx, `getComputedStyle(document.querySelector(".gallery .earlier")).strokeDasharray+"|"+getComputedStyle(document.querySelector(".gallery .cloth")).strokeDasharray`); strings.HasPrefix(got, "none") || !strings.HasSuffix(got, "|none") {
		t.Errorf("the lines of then and now are drawn %s", got)
	}
	// A change of style at once, with the picture.
	do(t, ctx, click(`label:has([name="s.ease"][value="roomy"])`), until(`document.querySelector("[data-changed=front]")`))
	do(t, ctx, click("#forget-earlier"), until(`!document.querySelector(".earlier")&&!document.querySelector("#changes")`))
}

// What was printed or chalked last is remembered by itself, and only the last.
func TestWhatWasPrintedIsRemembered(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	c := newClient(t, r.url(""))
	for _, ease := range []string{"trim", "roomy", "roomy"} {
		if err := r.folder.Change(job.ID, func(j *Record) error { j.Style["ease"] = ease; return nil }); err != nil {
			t.Fatal(err)
		}
		if status, _, _ := c.send("GET", "/jobs/"+job.ID+"/sheets/chalk.pdf", "", nil); status != 200 {
			t.Fatalf("the chalk sheet is answered with %d", status)
		}
		token := c.token("/jobs/" + job.ID + "/table/front")
		if status, _, _ := c.send("POST", "/jobs/"+job.ID+"/table/front", form("token", token, "go", "next"), nil); status != 303 {
			t.Fatalf("a step is answered with %d", status)
		}
	}
	found := map[string]string{}
	for _, e := range r.only().Kept.Earlier {
		found[e.Why] += e.Style["ease"]
	}
	if len(found) != 2 || found["printed"] != "roomy" || found["chalked"] != "roomy" {
		t.Errorf("remembered are %v; the last of each is wanted", found)
	}
}

// The oldest of what is kept by hand makes room, the same state is kept once, and what is compared with is never one that is gone.
func TestHowMuchIsRemembered(t *testing.T) {
	r := &Record{Garment: "rib-zip-jacket", Unit: "in", Measures: map[string]Typed{}, Style: map[string]string{}}
	at := time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)
	for i := range 30 {
		r.Measures["chest_girth"] = Typed{Text: itoa(36 + i/2)} // each twice
		if i == 3 {
			r.Kept.Compare = r.Kept.Earlier[0].ID
		}
		r.remember("kept", at.Add(time.Duration(i)*time.Hour))
		if r.Kept.Compare != "" && r.earlier(r.Kept.Compare) == nil {
			t.Fatalf("after %d it is compared with what is gone", i)
		}
	}
	if n := len(r.Kept.Earlier); n != mostEarlier {
		t.Errorf("%d are remembered", n)
	}
	if got := r.Kept.Earlier[0].Measures["chest_girth"].Text; got != itoa(36+15-mostEarlier) {
		t.Errorf("the oldest kept has a chest of %s", got)
	}
	if id := r.remember("kept", at); id != r.Kept.Earlier[mostEarlier-1].ID || len(r.Kept.Earlier) != mostEarlier {
		t.Error("the same state is kept twice")
	}
}

// Forged, mangled and senseless changes of what is compared.
func TestWhatIsComparedIsGuarded(t *testing.T) {
	r := openRoom(t)
	job := r.measured()
	c := newClient(t, r.url(""))
	at := "/jobs/" + job.ID + "/earlier"
	token := c.token("/jobs/" + job.ID + "/design")
	for _, x := range []struct {
		body string
		want int
	}{
		{form("do", "keep"), 403}, {form("do", "keep", "token", "x"), 403}, {"token=%zz&do=keep", 400}, {form("token", token, "do", "keep", "with", strings.Repeat("x", mostBody)), 413},
		{form("token", token, "with", "../../etc"), 303}, {form("token", token, "do", "forget"), 303}, {form("token", token, "do", "\x00"), 303},
	} {
		if status, _, _ := c.send("POST", at, x.body, nil); status != x.want {
			t.Errorf("%.40q is answered with %d; %d is wanted", x.body, status, x.want)
		}
	}
	if k := r.only().Kept; len(k.Earlier) != 0 || k.Compare != "" {
		t.Errorf("kept is %+v", k)
	}
	if status, _, _ := c.send("POST", "/jobs/aaaaaaaaaaaaaaaa/earlier", form("token", token, "do", "keep"), nil); status != 404 {
		t.Errorf("a job that is not there is answered with %d", status)
	}
	if math.Abs(least(tape.Tape{Unit: tape.CM, Step: 5})-0.5) > 1e-9 { // the metric tape's finer division is the millimetre
		t.Error("half a millimetre can be told on a metric tape")
	}
}
