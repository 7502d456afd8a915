package web

import (
	"os"
	"strings"
	"testing"

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
	t.Fatalf("%s was not kept", what)
}

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
	do(t, ctx, focus("#m-arm_length"), typeIn("25"), until(`sessionStorage.length>0`))
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
